"""A timer that still runs when the app begins: kept, dropped or left running, as one says.

It may have been forgotten for a night. So it never becomes minutes without a person's word.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.timing import Stop, drop_timer, stop_timer, timer_told
from companion.practice.timer import Timer, elapsed
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.log_sentences import entry_told


class LeftTimerScreen(ModalScreen[str | None]):
    """Answers with what was done, in a sentence, or None if the timer runs on."""

    CSS_PATH = "left_timer_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Keep it running", key_display="esc")
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓ Enter", "choose what to do with the timer"),
        ("Escape", "keep it running; t on the first screen stops it"),
    ]

    def __init__(self, folders: Folders, timer: Timer, at: datetime) -> None:
        super().__init__()
        self.folders = folders
        self.timer = timer
        self.at = at
        self.ways = self._ways()

    def _ways(self) -> list[tuple[str, Callable[[], str]]]:
        minutes = round(elapsed(self.timer.started, self.at) / 60)
        found: list[tuple[str, Callable[[], str]]] = []
        if self.timer.last_sign is not None:
            told = f"Log it until {self.timer.last_sign:%H:%M}, when the program last ran"
            found.append((told, partial(self._kept, Stop(at_last_sign=True))))
        found.append(
            (f"Log it until now, {minutes} minutes", partial(self._kept, Stop(until=self.at)))
        )
        found.append(("Discard it", self._discarded))
        return found

    def _kept(self, stop: Stop) -> str:
        return f"Logged: {entry_told(stop_timer(self.folders, stop, self.at))}"

    def _discarded(self) -> str:
        return f"The timer for {drop_timer(self.folders).what} was discarded."

    def compose(self) -> ComposeResult:
        """What runs, and what can be done."""
        with Vertical(id="left-timer-box"):
            yield Static(Text(f"{timer_told(self.timer, self.at)}."))
            yield OptionList(*(Option(told) for told, _ in self.ways), id="left-timer-list")
            yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin at the first way."""
        self.query_one("#left-timer-box").border_title = "A timer is still running"
        self.query_one(OptionList).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Do it, or say why not and go on asking."""
        event.stop()
        try:
            said = self.ways[event.option_index][1]()
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            self.dismiss(said)

"""Which bar to go to: typed as a player names it, refused in place where there is none."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from companion.errors import RequestError
from companion.score.bar_numbers import find_bar
from companion.score.clock import Clock
from companion.tui.widgets.key_line import KeyLine


class GoToScreen(ModalScreen[int | None]):
    """Answers with the ordinal position of a bar, or None after Escape."""

    CSS_PATH = "go_to_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "Back")]

    def __init__(self, clock: Clock, bar: int) -> None:
        """`bar` is the ordinal position of the bar to go from."""
        super().__init__()
        self.clock = clock
        self.movement = clock.bars[bar - 1].movement
        self.problem = ""

    def compose(self) -> ComposeResult:
        """A field, and how bars are named."""
        with Vertical(id="go-to-box"):
            yield Input(placeholder="bar", id="go-to-bar")
            yield Static(
                "13 is the bar with that number on the page, in this movement if it has one; "
                "II:13 is in movement II. C is a rehearsal mark, C+3 three bars after it. "
                "@97 is the 97th bar of the file.",
            )
            yield Static(id="go-to-error")
        yield KeyLine()

    def on_mount(self) -> None:
        """Ready to type."""
        self.query_one("#go-to-box").border_title = "Go to bar"
        self.query_one(Input).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go, or say why not and leave what was typed."""
        event.stop()
        try:
            bar = find_bar(self.clock, event.value, self.movement)
        except RequestError as problem:
            self.problem = problem.sentence()
            self.query_one("#go-to-error", Static).update(Text(f"! {self.problem}"))
        else:
            self.dismiss(bar)

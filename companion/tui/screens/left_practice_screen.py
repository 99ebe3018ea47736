"""Practice that ended with the program: rated now, dropped, or asked about again next time."""

from __future__ import annotations

from dataclasses import replace
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from companion.files.folders import Folders
from companion.journal.practice_in_progress import settled
from companion.journal.unsaved_attempts import note_or_keep_unsaved
from companion.practice.attempt import KEYS, Attempt, Outcome
from companion.tui.screens.outcome_screen import outcomes_listed
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.drill_sentences import NOT_THROUGH
from companion.wording.log_sentences import OUTCOME_MEANINGS, left_practice_told


class LeftPracticeScreen(ModalScreen[str | None]):
    """Answers with what was done, in a sentence; None if it is asked again next time."""

    CSS_PATH = "left_practice_screen.tcss"
    AUTO_FOCUS = ""
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"say('{key}')", outcome.value) for key, outcome in KEYS.items()),
        Binding("d", "drop", "Do not log it"),
        Binding("escape", "dismiss", "Ask later", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        *((key, f"{outcome.value}: {OUTCOME_MEANINGS[outcome]}") for key, outcome in KEYS.items()),
        ("d", "do not log it"),
        ("Escape", "ask again at the next start"),
    ]

    def __init__(self, folders: Folders, attempt: Attempt) -> None:
        super().__init__()
        self.folders = folders
        self.attempt = attempt

    def compose(self) -> ComposeResult:
        """What was practised, and the four outcomes."""
        with Vertical(id="left-practice-box"):
            yield Static(Text(left_practice_told(self.attempt)))
            yield Static(
                outcomes_listed(
                    min(self.app.size.width, 72) - 4, can_hold=self.attempt.repetitions > 0
                ),
                id="left-practice-keys",
            )
            yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Say what is asked."""
        box = self.query_one("#left-practice-box")
        box.border_title = "The program ended while you practised. How did it go?"

    def action_say(self, key: str) -> None:
        """Log it as it was; what the disk refuses waits as any other attempt does."""
        if KEYS[key] >= Outcome.HELD and not self.attempt.repetitions:
            self.query_one(Notice).say(f"! {NOT_THROUGH} Say 1 or 2.")
            return
        note_or_keep_unsaved(self.folders, replace(self.attempt, outcome=KEYS[key]))
        settled(self.folders, self.attempt)
        self.dismiss(f"Logged: {KEYS[key].value}.")

    def action_drop(self) -> None:
        """Leave it out of the log."""
        settled(self.folders, self.attempt)
        self.dismiss("It was not logged.")

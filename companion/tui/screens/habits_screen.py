"""The numbers a day's plan is made with, shown and changed."""

from __future__ import annotations

from typing import ClassVar

import msgspec
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Grid, Vertical
from textual.screen import ModalScreen
from textual.widgets import Footer, Input, Static

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.journal.log_entries import day_end_of, keep_day_end
from companion.practice.plan.habits import Habits
from companion.practice.practice_day import parse_day_end
from companion.session.todays_plan import habits_of, set_habits
from companion.tui.widgets.notice import Notice
from companion.wording.plan_sentences import DAY_ENDS_TOLD, HABITS_TOLD


class HabitsScreen(ModalScreen[str | None]):
    """Answers with what was done, in a sentence, or None after Escape."""

    CSS_PATH = "habits_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+u", "usual", "Defaults", priority=True),
        Binding("escape", "dismiss", "Back", key_display="esc"),
        Binding("up", "app.focus_previous", show=False),
        Binding("down", "app.focus_next", show=False),
    ]

    def __init__(self, folders: Folders) -> None:
        super().__init__()
        self.folders = folders

    def compose(self) -> ComposeResult:
        """A line for each number."""
        with Vertical(id="habits-box"):
            with Grid(id="habits-fields"):
                for name, told in HABITS_TOLD.items():
                    # Not type="integer", whose pattern takes forever on many digits and a letter.
                    yield Input(id=f"habit-{name}", restrict=r"-?\d*", max_length=9)
                    yield Static(told, markup=False)
                yield Input(id="habit-day_ends")
                yield Static(DAY_ENDS_TOLD, markup=False)
            yield Static("↑↓ from line to line; Enter keeps them all. No medical advice.")
            yield Notice()
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """As they are now."""
        self.query_one("#habits-box").border_title = "Habits"
        try:
            self._fill(habits_of(self.folders))
            self._field("day_ends").value = f"{day_end_of(self.folders):%H:%M}"
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        first = self._field("minutes")
        first.focus()
        first.select_all()

    def _field(self, name: str) -> Input:
        return self.query_one(f"#habit-{name}", Input)

    def _fill(self, habits: Habits) -> None:
        for name, value in msgspec.structs.asdict(habits).items():
            self._field(name).value = str(value)

    def action_usual(self) -> None:
        """Back to the defaults; Enter keeps them."""
        self._fill(Habits())

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep them, or refuse in place."""
        event.stop()
        try:
            habits = Habits(**{name: self._number(name) for name in HABITS_TOLD})
            ends = parse_day_end(self._field("day_ends").value)
            set_habits(self.folders, habits)
            if ends != day_end_of(self.folders):
                keep_day_end(self.folders, ends)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            self.dismiss("The next plan is made with these habits.")

    def _number(self, name: str) -> int:
        try:
            return int(self._field(name).value)
        except ValueError:
            self._field(name).focus()
            raise RequestError(
                f"“{self._field(name).value}” is not a number", next=f"Write {HABITS_TOLD[name]}."
            ) from None

"""An exercise as it would stand on a sheet: instructions, notes, goal, what pulls.

It is looked through in a thread, because a score that was never read takes a while.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from companion.errors import CompanionError
from companion.exercise.instruments import Instrument
from companion.files.folders import Folders
from companion.session.lanes import first_facing, lanes_of
from companion.session.open_exercise import CheckedExercise, check_exercise
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.lane_rows import LEGEND
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.wording.exercise_sentences import drill_sheet_told, heading_told


class ExerciseSheetScreen(Screen[bool | None]):
    """Answers True if the exercise shall be taken into the list."""

    CSS_PATH = "exercise_sheet_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "take", "Add to my list", key_display="⏎"),
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("↑ ↓", "up and down the sheet"),
        ("Enter", "add the exercise to your list"),
    ]

    @dataclass
    class Looked(Message):
        """What came of looking the exercise through."""

        outcome: CheckedExercise | CompanionError

    def __init__(
        self,
        path: Path,
        title: str,
        folders: Folders,
        *,
        is_new: bool,
        instrument: Instrument | None = None,
    ) -> None:
        """`is_new` says whether it can still be taken into the list; with an instrument it is
        shown as it is played there."""
        super().__init__()
        self.path = path
        self.exercise_title = title
        self.folders = folders
        self.is_new = is_new
        self.instrument = instrument
        self.told = ""

    def compose(self) -> ComposeResult:
        """Heading, the sheet, a line for trouble."""
        yield Heading(self.exercise_title, "built in" if self.is_new else "in my list")
        with VerticalScroll(id="sheet-scroll"):
            yield Static("Looking through it …", id="sheet-text", markup=False)
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.query_one(VerticalScroll).focus()
        self._look()

    @work(thread=True)
    def _look(self) -> None:
        outcome: CheckedExercise | CompanionError
        try:
            outcome = check_exercise(self.path, self.folders, self.instrument)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Looked(outcome))

    def on_exercise_sheet_screen_looked(self, message: Looked) -> None:
        """Show it, or say why not."""
        if isinstance(message.outcome, CompanionError):
            self.query_one(Notice).show_error(message.outcome)
            return
        checked = message.outcome
        head = "\n".join(heading_told(checked.file.exercise))
        self.query_one("#sheet-text", Static).update(Text(head))
        pieces, told = [], [head]
        for on_score in checked.drills:
            title, *lines = drill_sheet_told(on_score, checked.open_score(on_score.number))
            text = "\n".join(lines)
            told += [title, text]
            facing = first_facing(on_score.passage, on_score.conflicts)
            lanes = lanes_of(on_score.passage, on_score.conflicts, facing)
            pieces += [
                Static(Text(title), classes="sheet-title"),
                PassageLanes(lanes),
                Static(Text(text)),
            ]
        self.told = "\n".join(told)
        if not getattr(self.app, "shows_notes", True):
            pieces.append(Static(LEGEND, classes="sheet-legend"))
        self.query_one(VerticalScroll).mount(*pieces)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What is in the list already cannot be taken again."""
        return self.is_new if action == "take" else True

    def action_take(self) -> None:
        """Take it."""
        self.dismiss(True)

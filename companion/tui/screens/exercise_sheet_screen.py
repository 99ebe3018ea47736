"""An exercise as it would stand on a sheet: instructions, notes, goal, what pulls.

It is looked through in a thread, because a score that was never read takes a while.
"""

from __future__ import annotations

import re
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
from textual.widgets import Footer, Static

from companion.errors import CompanionError
from companion.exercise.drill_on_score import DrillOnScore
from companion.files.folders import Folders
from companion.session.lanes import Lanes, part_alone
from companion.session.open_exercise import CheckedExercise, check_exercise
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.wording.exercise_sentences import exercise_told
from companion.wording.score_sentences import bar_span_told

MOST_BARS = 16
"""Bars of one drill shown as notes."""


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

        outcome: str | CompanionError
        notes: tuple[tuple[str, Lanes], ...] = ()
        """Of each drill: its number and bars, and its notes."""

    def __init__(self, path: Path, title: str, folders: Folders, *, is_new: bool) -> None:
        """`is_new` says whether it can still be taken into the list."""
        super().__init__()
        self.path = path
        self.exercise_title = title
        self.folders = folders
        self.is_new = is_new
        self.told = ""

    def compose(self) -> ComposeResult:
        """Heading, the sheet, a line for trouble."""
        yield Heading(self.exercise_title, "built in" if self.is_new else "in my list")
        with VerticalScroll(id="sheet-scroll"):
            yield Static("Looking through it …", id="sheet-text", markup=False)
        yield Notice()
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Arrows scroll at once."""
        self.query_one(VerticalScroll).focus()
        self._look()

    @work(thread=True)
    def _look(self) -> None:
        outcome: str | CompanionError
        notes: tuple[tuple[str, Lanes], ...] = ()
        try:
            checked = check_exercise(self.path, self.folders)
            told = "\n".join(exercise_told(checked))
            written = checked.file.exercise.instructions
            outcome = told.replace(written, _flowing(written)) if written else told
            notes = tuple(_notes(checked, one) for one in checked.drills)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Looked(outcome, notes))

    async def on_exercise_sheet_screen_looked(self, message: Looked) -> None:
        """Show it, or say why not."""
        if isinstance(message.outcome, CompanionError):
            self.query_one(Notice).show_error(message.outcome)
            return
        self.told = message.outcome
        self.query_one("#sheet-text", Static).update(Text(self.told))
        for title, lanes in message.notes:
            await self.query_one(VerticalScroll).mount(
                Static(Text(f"\n{title}")), PassageLanes(lanes)
            )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """What is in the list already cannot be taken again."""
        return self.is_new if action == "take" else True

    def action_take(self) -> None:
        """Take it."""
        self.dismiss(True)


def _notes(checked: CheckedExercise, on_score: DrillOnScore) -> tuple[str, Lanes]:
    """The notes of one drill under its number and bars."""
    open_score, passage = checked.open_score(on_score.number), on_score.passage
    bars = passage.bars[:MOST_BARS]
    title = f"{on_score.number}  {bar_span_told(open_score, passage.first, passage.last)}"
    return title, part_alone(passage.clock, passage.part, bars, [bar.name for bar in bars])


def _flowing(markdown: str) -> str:
    """Paragraphs without the line breaks of the file; lists and the like keep theirs."""
    return re.sub(r"(?<=\S)[ \t]*\n(?=[A-Za-z“*_(][^\s*])", " ", markdown)

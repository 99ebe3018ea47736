"""Exercises: what is assigned and how far it is, and those the program brings along.

Enter on a drill opens it; Enter on a title shows its sheet. Nothing goes into
the list or off it without being seen or asked about first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.message import Message
from textual.screen import Screen
from textual.widgets import OptionList

from companion.errors import CompanionError
from companion.exercise.assignment import FILES, Assignment
from companion.exercise.drill_goal import GoalState
from companion.exercise.drill_on_score import FILE_NAME
from companion.exercise.instruments import Instrument
from companion.files.folders import Folders
from companion.session.assigned_exercises import Assigned, Listing, assigned
from companion.session.exercise_drill import playable_drill
from companion.session.my_instrument import choose_instrument, my_instrument, next_instrument
from companion.session.open_exercise import (
    BuiltIn,
    Taken,
    built_in_exercises,
    close_exercise,
    find_exercise,
    open_exercise,
)
from companion.session.open_score import OpenScore
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.beside import Beside, headline
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.exercise_list import ExerciseList, ListRow
from companion.tui.widgets.form import Form
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.exercise_sentences import taken_told
from companion.wording.phrases import counted

_KEYS: list[BindingType] = [
    Binding("o", "open", "Open a file"),
    Binding("i", "instrument", "Instrument"),
    Binding("c", "close", "Remove"),
    Binding("escape", "dismiss", "Back", key_display="esc"),
]
"""What each key does."""

_EXPLAINED = [
    ("↑ ↓", "from line to line"),
    ("Enter", "on a drill: practise it, with the tempo plan and click it asks for"),
    ("", "on a title: its sheet; there Enter adds a built-in exercise to your list"),
    ("o", "open a pack or an exercise file by its path"),
    ("i", "the next instrument: the built-in exercises as they are played on it"),
    ("c", "remove the exercise from the list (asks first; the log is kept)"),
]
"""The same in words, for the help."""


_LEGEND = "Enter: practise a drill, or see the sheet of a title"
EXAMPLES = (
    ("~/Downloads/lesson.exercise", "a pack your teacher sent"),
    ("lesson.toml", "an exercise file, its scores next to it"),
    ("three_over_two", "a built-in exercise by its name"),
)


class ExercisesScreen(Screen[None]):
    """The student's list, and the built-in exercises below it."""

    CSS_PATH = "exercises_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = _KEYS
    HELP: ClassVar[list[tuple[str, str]]] = _EXPLAINED  # type: ignore[assignment]

    @dataclass
    class Looked(Message):
        """The list as it is now, or why it cannot be told."""

        look: int
        outcome: Listing | CompanionError

    @dataclass
    class Opened(Message):
        """What came of opening an exercise."""

        outcome: tuple[Assignment, Taken] | CompanionError

    def __init__(self, folders: Folders) -> None:
        super().__init__()
        self.folders = folders
        self.listing: Listing | None = None
        self.built_in: list[BuiltIn] = []
        self.instrument = my_instrument(folders)
        self._looks = 0
        self._to_close: Assignment | None = None

    def compose(self) -> ComposeResult:
        """Heading, the list, what Enter does."""
        yield Heading("Exercises")
        with Horizontal():
            yield ExerciseList()
            yield Beside(classes="-from-wide")
        yield OneLine(_LEGEND, id="exercises-legend")
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin in the list."""
        self.list.focus()

    def on_screen_resume(self) -> None:
        """What was just practised counts."""
        self._look_anew()

    @property
    def list(self) -> ExerciseList:
        """The lines."""
        return self.query_one(ExerciseList)

    @property
    def notice(self) -> Notice:
        """The line for messages."""
        return self.query_one(Notice)

    def _look_anew(self) -> None:
        self._looks += 1
        self._look(self._looks)

    @work(thread=True)
    def _look(self, number: int) -> None:
        """In a thread: a long log is looked through for every drill."""
        outcome: Listing | CompanionError
        try:
            if not self.built_in:
                self.built_in = built_in_exercises()
            outcome = assigned(self.folders)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Looked(number, outcome))

    def on_exercises_screen_looked(self, message: Looked) -> None:
        """Show it, unless one looked again meanwhile."""
        if message.look != self._looks:
            return
        if isinstance(message.outcome, CompanionError):
            self.notice.show_error(message.outcome)
            return
        self.listing = message.outcome
        self.list.show(self.listing, self.built_in, self.instrument)
        self.query_one(Heading).right = _counted(self.listing)
        for problem in self.listing.problems:
            self.notice.show_error(problem)

    def on_option_list_option_highlighted(self) -> None:
        """Another exercise: what was asked about the one before is forgotten."""
        self.query_one(Beside).show(partial(self._beside, self.list.row))
        here = self.list.row.assigned
        if self._to_close is not None and (here is None or here.assignment != self._to_close):
            self._to_close = None
            self.notice.clear()

    def _beside(self, row: ListRow, *_: int) -> Iterator[str | Text]:
        """On a wide terminal, what the exercise under the cursor asks."""
        from companion.wording.exercise_sentences import heading_told

        assigned = row.assigned
        exercise = assigned.assignment.exercise if assigned else None
        if row.built_in is not None:
            exercise = row.built_in.exercise
        if exercise is not None:
            title, *others = heading_told(exercise)
            yield headline(title)
            yield from others

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Open a drill, or show the sheet of a title."""
        row = self.list.rows[event.option_index]
        self._to_close = None
        if row.built_in is not None:
            one = row.built_in
            self._show_sheet(one.path, one.exercise.title, is_new=True)
        elif row.assigned is not None and row.drill:
            self._practise(row.assigned, row.drill)
        elif row.assigned is not None:
            assignment = row.assigned.assignment
            path = assignment.folder / FILES / FILE_NAME
            self._show_sheet(path, assignment.exercise.title, is_new=False)

    def _show_sheet(self, path: Path, title: str, *, is_new: bool) -> None:
        from companion.tui.screens.exercise_sheet_screen import ExerciseSheetScreen

        def answered(takes: bool | None) -> None:
            if takes:
                self._open(path, self.instrument)

        whose = self.instrument if is_new else None
        sheet = ExerciseSheetScreen(path, title, self.folders, is_new=is_new, instrument=whose)
        self.app.push_screen(sheet, answered)

    def _practise(self, one: Assigned, number: int) -> None:
        """Read the score as any other, in a child where it takes long, then lay the drill."""
        then = partial(self._put_on_stand, one.assignment, number)
        app_of(self).read_score(one.assignment.score_of(number), then, self.notice.show_error)

    def _put_on_stand(self, assignment: Assignment, number: int, _: OpenScore) -> None:
        from companion.tui.screens.exercise_passage_screen import ExercisePassageScreen

        try:
            playable = playable_drill(assignment, number, self.folders)
        except CompanionError as problem:
            self.notice.show_error(problem)
        else:
            self.app.push_screen(ExercisePassageScreen(assignment, number, playable, self.folders))

    def action_open(self) -> None:
        """Ask for a path and open it."""

        def answered(path: Path | None) -> None:
            if path is not None:
                self._open(path)

        self.app.push_screen(FormScreen(_OPENING, ""), answered)

    @work(thread=True)
    def _open(self, path: Path, instrument: Instrument | None = None) -> None:
        """In a thread: all of its scores are read before it is in the list."""
        outcome: tuple[Assignment, Taken] | CompanionError
        try:
            outcome = open_exercise(path, self.folders, instrument)
        except CompanionError as problem:
            outcome = problem
        self.post_message(self.Opened(outcome))

    def on_exercises_screen_opened(self, message: Opened) -> None:
        """Say so, and show it."""
        if isinstance(message.outcome, CompanionError):
            self.notice.show_error(message.outcome)
            return
        assignment, taken = message.outcome
        self.list.follow(assignment)
        self.notice.say(f"{taken_told(taken).capitalize()}: {assignment.exercise.title}.")
        self._look_anew()

    def action_instrument(self) -> None:
        """The library for the next instrument; after the last, as it is written."""
        self.instrument = next_instrument(self.instrument)
        problem = choose_instrument(self.folders, self.instrument)
        if self.listing is not None:
            self.list.show(self.listing, self.built_in, self.instrument)
        name = self.instrument.name if self.instrument else "as written, whatever the instrument"
        self.notice.say(f"Built-in exercises: {name}.")
        if problem is not None:
            self.notice.show_error(problem)

    def action_close(self) -> None:
        """Take the exercise under the cursor off the list, on the second press."""
        one = self.list.row.assigned
        if one is None:
            self.notice.say("Only an assigned exercise can be removed.")
            return
        assignment, title = one.assignment, one.assignment.exercise.title
        if self._to_close != assignment:
            self._to_close = assignment
            self.notice.say(f"Press c again to remove {title}. Your log is kept.")
            return
        self._to_close = None
        try:
            close_exercise(assignment)
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        self.notice.say(f"Removed: {title}.")
        self._look_anew()


_OPENING: Form[str, Path] = Form(
    "Open an exercise",
    lambda _: (),
    lambda typed: f"It is added to your list: {typed}." if typed.strip() else "",
    lambda typed: typed,
    lambda typed, _: typed,
    lambda typed: find_exercise(typed.strip()),
    line="File",
    examples=EXAMPLES,
    enter="Enter adds it",
)


def _counted(listing: Listing) -> str:
    """`2 assigned, 1 in progress, 3 done, 1 overdue`; what there is none of is left out."""
    states = [one.state for one in listing.assigned]
    told = [f"{states.count(state)} {state}" for state in GoalState if state in states]
    late = sum(one.is_overdue(listing.today) for one in listing.assigned)
    if late:
        told.append(f"{late} overdue")
    return ", ".join(told) or counted(0, "exercise")

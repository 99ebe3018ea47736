"""What is assigned and what is built in, as one list that one pair of keys walks through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import wrap
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from companion.exercise.assignment import Assignment
from companion.exercise.fitting import fitted, fitting
from companion.exercise.instruments import Instrument
from companion.session.assigned_exercises import Assigned, Listing
from companion.session.open_exercise import BuiltIn
from companion.tui.widgets.heading import line_of
from companion.wording.exercise_sentences import fitting_told, listing_told, range_told

_NOTHING = "Nothing is assigned. Choose one below, or press o for a file you were sent."
_NAMED = 90
"""Columns from which the names that commands know have room."""
_AROUND = 4
"""Columns of padding and scroll bar around the list."""


@dataclass(frozen=True, slots=True)
class ListRow:
    """What one line of the list stands for; all empty for a headline."""

    assigned: Assigned | None = None
    drill: int = 0
    """Which of its drills, from 1; 0 for the whole of it."""
    built_in: BuiltIn | None = None

    @property
    def item(self) -> tuple[Path | str, int]:
        """What stays the same when its line is told anew or stands elsewhere."""
        if self.assigned is not None:
            return self.assigned.assignment.folder, self.drill
        return self.built_in.name if self.built_in is not None else "", 0


class ExerciseList(OptionList):
    """The lines; the cursor stays with its item when they are filled again, and at its place if
    that is gone."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "select", "Open", key_display="⏎"),
    ]

    def __init__(self) -> None:
        super().__init__(id="exercise-list")
        self.rows: list[ListRow] = []
        self.texts: list[str] = []
        self._listing: Listing | None = None
        self._width = 0
        self._library: Sequence[BuiltIn] = ()
        self._instrument: Instrument | None = None
        self._item: tuple[Path | str, int] | None = None
        """What the cursor goes to as soon as it is there; None to stay where it is."""

    @property
    def row(self) -> ListRow:
        """What is under the cursor."""
        return ListRow() if self.highlighted is None else self.rows[self.highlighted]

    def show(
        self, listing: Listing, library: Sequence[BuiltIn], instrument: Instrument | None = None
    ) -> None:
        """Another state of things; with an instrument, the library as it is played there."""
        self._listing, self._library, self._instrument = listing, library, instrument
        self._fill()

    def follow(self, assignment: Assignment) -> None:
        """The cursor goes to an exercise as soon as it is among the lines."""
        self._item = assignment.folder, 0

    def on_resize(self, event: events.Resize) -> None:
        """Names stay at the right edge."""
        if self._width != self.outer_size.width:
            self._fill()

    def _fill(self) -> None:
        if self._listing is None:
            return
        here, item = self.highlighted, self._item or self.row.item
        self._width = self.outer_size.width
        width = max(40, self._width - _AROUND)
        lines = [
            *_assigned(self._listing),
            *_library(self._library, self._instrument, has_names=width >= _NAMED),
        ]
        self.rows = [row for row, _, _ in lines]
        self.texts = [" ".join(f"{left} {right}".split()) for _, left, right in lines]
        self.clear_options()
        self.add_options(
            Option(_text(row, left, right, width), disabled=row == ListRow())
            for row, left, right in lines
        )
        open_to = [index for index, row in enumerate(self.rows) if row != ListRow()]
        there = [index for index in open_to if self.rows[index].item == item]
        if there:
            self._item = None
        self.highlighted = next(
            iter([*there, *(at for at in open_to if at == here), *open_to]), None
        )


def _assigned(listing: Listing) -> Iterator[tuple[ListRow, str, str]]:
    if not listing.assigned:
        yield ListRow(), _NOTHING, ""
    for number, one in enumerate(listing.assigned, 1):
        for drill, line in enumerate(listing_told(number, one, listing.today)):
            yield ListRow(assigned=one, drill=drill), line, ""


def _library(
    library: Sequence[BuiltIn], instrument: Instrument | None, *, has_names: bool
) -> Iterator[tuple[ListRow, str, str]]:
    if library:
        whose = f" for {instrument.name}" if instrument else ""
        yield ListRow(), f"Built-in exercises{whose}, by level (1 to 9)", ""
    for one in library:
        title = f"level {one.exercise.level}  {one.exercise.title}"
        if instrument is None:
            name = one.name if has_names else ""
            yield ListRow(built_in=one), title, f"{range_told(one.exercise):>7}  {name}".rstrip()
        elif not (how := fitting(one.exercise, instrument)).why_not:
            told = range_told(fitted(one.exercise, instrument))
            moved = f"{fitting_told(how)}  {told:>7}" if told else "clapped"
            yield ListRow(built_in=one), title, moved


def _text(row: ListRow, left: str, right: str, width: int) -> Text:
    if right:
        return Text(line_of(left, right, width))
    is_head = row.assigned is not None and not row.drill
    style = "bold" if is_head or row == ListRow() else ""
    indent = " " * (len(left) - len(left.lstrip()) + 2)
    return Text("\n".join(wrap(left, width, subsequent_indent=indent)), style)

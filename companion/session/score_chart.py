"""The map of a score in columns: per bar and part, whether it plays and in which meter.

A screen that scrolls through 1,700 bars can ask nothing of the score while it draws.
Everything it needs is looked up here once, when the score is opened.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum, auto
from fractions import Fraction

from companion.findings.conflicts import Conflict
from companion.score.bar_numbers import bar_name, rehearsal_marks
from companion.score.clock import Bar, Clock
from companion.score.model import Note
from companion.session.open_score import OpenScore


@dataclass(frozen=True, slots=True)
class ChartCell:
    """One part in one bar."""

    plays: bool
    """Whether any note sounds; otherwise the part rests."""
    meter: str
    """Its meter as written; empty if unmeasured or where the part has ended."""
    shows_meter: bool
    """Whether the meter is to be read here: where it is new, and in every part where any
    meter is new and the parts do not agree."""


@dataclass(frozen=True, slots=True)
class Chart:
    """A score's bars in columns and its parts in rows."""

    cells: tuple[tuple[ChartCell, ...], ...]
    """For each part, from the top of the page, one cell for each bar of the score."""
    labels: tuple[str, ...]
    """Printed bar numbers, in order of bars."""
    is_numbered_otherwise: bool
    """Whether any printed number is not simply the bar's ordinal position."""
    letters: dict[int, str]
    """Rehearsal marks by the ordinal position of their bar."""
    marks: dict[int, str]
    """What stands above a bar, by its ordinal position: `II` where a movement begins, `C`."""
    lanes: tuple[tuple[Conflict, ...], ...]
    """Conflicts in as many rows as are needed for none to lie over another."""
    at: dict[int, tuple[Conflict, ...]]
    """The conflicts of each bar, by its ordinal position; bars without any are left out."""


def chart(open_score: OpenScore) -> Chart:
    """Lay out the map of an open score."""
    clock = open_score.clock
    letters = rehearsal_marks(clock)
    at: dict[int, list[Conflict]] = {}
    for conflict in open_score.conflicts:
        for number in range(conflict.first, conflict.last + 1):
            at.setdefault(number, []).append(conflict)
    return Chart(
        _cells(clock),
        tuple(bar.label for bar in clock.bars),
        any(bar.label != str(bar.number) for bar in clock.bars),
        letters,
        _marks(clock, letters),
        lanes(open_score.conflicts),
        {number: tuple(found) for number, found in at.items()},
    )


def lanes(conflicts: Sequence[Conflict]) -> tuple[tuple[Conflict, ...], ...]:
    """Share out conflicts, given in order of their first bar, to rows: each the first with room."""
    rows: list[list[Conflict]] = []
    for conflict in conflicts:
        for row in rows:
            if row[-1].last < conflict.first:
                row.append(conflict)
                break
        else:
            rows.append([conflict])
    return tuple(tuple(row) for row in rows)


def _cells(clock: Clock) -> tuple[tuple[ChartCell, ...], ...]:
    rows: list[list[ChartCell]] = [[] for _ in clock.places]
    before = [""] * len(rows)
    for bar in clock.bars:
        meters = [clock.meter_at(part, bar) for part in range(len(rows))]
        texts = [meter.text if meter else "" for meter in meters]
        is_parting = texts != before and len(set(texts) - {""}) > 1
        for part, (row, text) in enumerate(zip(rows, texts, strict=True)):
            shows = text != "" and (is_parting or text != before[part])
            row.append(ChartCell(_plays(clock, part, bar), text, shows))
        before = texts
    return tuple(tuple(row) for row in rows)


def _plays(clock: Clock, part: int, bar: Bar) -> bool:
    """Whether any note of the part sounds between a bar's two barlines."""
    own_bars, places = clock.score.parts[part].bars, clock.places[part]
    if clock.barlines_coincide:
        return bar.number <= len(places) and any(map(_sounds, own_bars[bar.number - 1].notes))
    if not places:
        return False
    for index in range(clock.own_bar_at(part, bar.start), len(places)):
        place = places[index]
        if place.start >= bar.end:
            break
        for note in filter(_sounds, own_bars[index].notes):
            begin = clock.onset(part, index, note)
            end = begin + Fraction(note.length, clock.score.ticks) * place.pace
            if begin < bar.end and end > bar.start:
                return True
    return False


def _sounds(note: Note) -> bool:
    return not (note.is_rest or note.is_cue)


def _marks(clock: Clock, letters: dict[int, str]) -> dict[int, str]:
    marks = dict(letters)
    before = 1
    for bar in clock.bars:
        if bar.movement != before or (bar.number == 1 and clock.bars[-1].movement > 1):
            numeral = bar_name(clock, bar).split(":")[0]
            marks[bar.number] = " ".join(filter(None, (numeral, marks.get(bar.number))))
        before = bar.movement
    return marks


# Which bars a player means who points at one and says: this, please.


BARS_FROM_HERE = 4
"""Bars of a passage where neither a selection nor a conflict says how many."""


class Meaning(Enum):
    """What says which bars are meant."""

    SELECTION = auto()
    CONFLICT = auto()
    HERE = auto()
    """Nothing but where we are."""


@dataclass(frozen=True, slots=True)
class MeantBars:
    """Bars to practise, and why these."""

    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last bar."""
    why: Meaning


def span_meant(open_score: OpenScore, chart: Chart, bar: int, selection: range) -> MeantBars:
    """The selection; without one the conflict at a bar; without either four bars from it."""
    if selection:
        return MeantBars(selection[0], selection[-1], Meaning.SELECTION)
    conflict = conflict_meant(open_score, chart, bar)
    if conflict is not None:
        return MeantBars(conflict.first, conflict.last, Meaning.CONFLICT)
    last = min(bar + BARS_FROM_HERE - 1, len(open_score.clock.bars))
    return MeantBars(bar, last, Meaning.HERE)


def conflict_meant(open_score: OpenScore, chart: Chart, bar: int) -> Conflict | None:
    """The conflict at a bar that my part is in, or else the first one."""
    here = sorted(chart.at.get(bar, ()), key=lambda conflict: conflict.is_notated)
    for conflict in here:
        if any(open_score.choices.part in side.parts for side in conflict.sides):
            return conflict
    return here[0] if here else None


def next_conflict(open_score: OpenScore, bar: int) -> Conflict | None:
    """The first conflict that begins after a bar."""
    return next((conflict for conflict in open_score.conflicts if conflict.first > bar), None)


def previous_conflict(open_score: OpenScore, bar: int) -> Conflict | None:
    """The last conflict that begins before a bar."""
    return next((found for found in reversed(open_score.conflicts) if found.first < bar), None)

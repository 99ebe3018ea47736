"""The map of a score in columns: per bar and part, whether it plays and in which meter.

A screen that scrolls through 1,700 bars can ask little of the score while it draws: what it
needs is looked up here, once.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from enum import Enum, auto
from fractions import Fraction
from typing import overload

from msgspec import Struct
from msgspec.structs import replace

from companion.findings.conflicts import Conflict
from companion.findings.periods import Period
from companion.score.bar_numbers import movement_name, rehearsal_marks
from companion.score.clock import Bar, Clock
from companion.score.model import Note
from companion.session.open_score import OpenScore

MapFinding = Conflict | Period
"""What a map shows: everything that pulls."""


class ChartCell(Struct, frozen=True):
    """One part in one bar."""

    plays: bool
    """Whether any note sounds; otherwise the part rests."""
    meter: str
    """Its meter as written; empty if unmeasured or where the part has ended."""
    shows_meter: bool
    """Whether the meter is to be read here: where it is new, and in every part where any
    meter is new and the parts do not agree."""


class Chart(Struct, frozen=True):
    """A score's bars in columns and its parts in rows."""

    cells: tuple[PartCells, ...]
    """For each part, from the top of the page, one cell for each bar of the score."""
    labels: tuple[str, ...]
    """What each bar is called inside its movement: its printed number, else `@97`."""
    letters: dict[int, str]
    """Rehearsal marks by the ordinal position of their bar."""
    marks: dict[int, str]
    """What stands above a bar, by its ordinal position: `II` where a movement begins, `C`."""
    found: tuple[MapFinding, ...]
    """Everything that pulls, in order of bars."""
    finding_rows: tuple[tuple[MapFinding, ...], ...]
    """The same in as many rows as are needed for none to lie over another; conflicts first."""
    at: dict[int, tuple[MapFinding, ...]]
    """What pulls in each bar, by its ordinal position, conflicts first; bars without anything
    are left out."""
    others: int = 0
    """How many more pull in which my part does not play; they are left out of the chart."""


def chart(open_score: OpenScore, periods: Sequence[Period] = ()) -> Chart:
    """Lay out the map of an open score; its periods if they are known already."""
    clock = open_score.clock
    letters = rehearsal_marks(clock)
    at: dict[int, list[MapFinding]] = {}
    found: tuple[MapFinding, ...] = (*open_score.conflicts, *periods)
    for one in found:
        for number in range(one.first, one.last + 1):
            at.setdefault(number, []).append(one)
    return Chart(
        tuple(PartCells(clock, part) for part in range(len(clock.places))),
        tuple(bar.name for bar in clock.bars),
        letters,
        _marks(clock, letters),
        tuple(sorted(found, key=_in_bars)),
        in_rows(found),
        {number: tuple(here) for number, here in at.items()},
    )


def only_mine(whole: Chart, me: str | None) -> Chart:
    """The same map with only what my part plays in; all of it before a part was chosen."""
    if me is None:
        return whole
    at = {
        number: mine
        for number, here in whole.at.items()
        if (mine := tuple(one for one in here if is_mine(one, me)))
    }
    found = tuple(one for one in whole.found if is_mine(one, me))
    rows = in_rows(one for row in whole.finding_rows for one in row if is_mine(one, me))
    return replace(
        whole, found=found, finding_rows=rows, at=at, others=len(whole.found) - len(found)
    )


def _in_bars(one: MapFinding) -> tuple[int, bool, int]:
    """Of those that begin together, the conflict first, as it is told first."""
    return one.first, isinstance(one, Period), one.last


def in_rows(found: Iterable[MapFinding]) -> tuple[tuple[MapFinding, ...], ...]:
    """Share out findings to rows, each to the first with room."""
    rows: list[list[MapFinding]] = []
    for one in found:
        for row in rows:
            place = bisect_left(row, one.first, key=lambda other: other.first)
            if (place == 0 or row[place - 1].last < one.first) and (
                place == len(row) or one.last < row[place].first
            ):
                row.insert(place, one)
                break
        else:
            rows.append([one])
    return tuple(tuple(row) for row in rows)


class PartCells(Sequence[ChartCell]):
    """One part's cells. Each is looked up when it is first drawn: a screen shows twenty bars of
    a thousand, and a score should stand there at once."""

    def __init__(self, clock: Clock, part: int) -> None:
        self._clock = clock
        self._part = part
        self._known: dict[int, ChartCell] = {}

    def __len__(self) -> int:
        return len(self._clock.bars)

    @overload
    def __getitem__(self, at: int) -> ChartCell: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[ChartCell]: ...
    def __getitem__(self, at: int | slice) -> ChartCell | Sequence[ChartCell]:
        if isinstance(at, slice):
            return [self[one] for one in range(*at.indices(len(self)))]
        cell = self._known.get(at)
        if cell is None:
            cell = self._known[at] = self._cell(self._clock.bars[at])
        return cell

    def _cell(self, bar: Bar) -> ChartCell:
        clock = self._clock
        here = _meters(clock, bar)
        before = _meters(clock, clock.bars[bar.number - 2]) if bar.number > 1 else [""] * len(here)
        text = here[self._part]
        is_parting = here != before and len(set(here) - {""}) > 1
        shows = text != "" and (is_parting or text != before[self._part])
        return ChartCell(_plays(clock, self._part, bar), text, shows)


def _meters(clock: Clock, bar: Bar) -> list[str]:
    """Each part's, empty where there is none."""
    meters = (clock.meter_at(part, bar) for part in range(len(clock.places)))
    return [meter.text if meter else "" for meter in meters]


def _plays(clock: Clock, part: int, bar: Bar) -> bool:
    """Whether any note of the part sounds between a bar's two barlines."""
    own_bars, places = clock.score.parts[part].bars, clock.places[part]
    if clock.barlines_coincide:
        return bar.number <= len(places) and _sounds(own_bars[bar.number - 1].notes)
    if not places:
        return False
    for index in range(clock.own_bar_at(part, bar.start), len(places)):
        place = places[index]
        if place.start >= bar.end:
            break
        for note in own_bars[index].notes:
            begin = clock.onset(part, index, note)
            end = begin + Fraction(note.length, clock.score.ticks) * place.pace
            if begin < bar.end and end > bar.start and _sounds((note,)):
                return True
    return False


def _sounds(notes: Sequence[Note]) -> bool:
    for note in notes:  # noqa: SIM110 (a generator takes three times as long, for every bar)
        if note.pitch and not note.is_cue:
            return True
    return False


def _marks(clock: Clock, letters: dict[int, str]) -> dict[int, str]:
    marks = dict(letters)
    before = 1
    for bar in clock.bars:
        if bar.movement != before or (bar.number == 1 and clock.bars[-1].movement > 1):
            numeral = movement_name(bar.movement)
            marks[bar.number] = " ".join(filter(None, (numeral, marks.get(bar.number))))
        before = bar.movement
    return marks


# Which bars are meant when the cursor is on one.


BARS_FROM_HERE = 4
"""Bars of a passage where neither a selection nor a conflict says how many."""


class Meaning(Enum):
    """What says which bars are meant."""

    SELECTION = auto()
    CONFLICT = auto()
    PERIOD = auto()
    HERE = auto()
    """Nothing but where we are."""


class MeantBars(Struct, frozen=True):
    """Bars to practise, and why these."""

    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last bar."""
    why: Meaning


def span_meant(open_score: OpenScore, chart: Chart, bar: int, selection: range) -> MeantBars:
    """The selection; without one what pulls at a bar; without either four bars from it."""
    if selection:
        return MeantBars(selection[0], selection[-1], Meaning.SELECTION)
    found = finding_meant(open_score, chart, bar)
    if found is not None:
        why = Meaning.CONFLICT if isinstance(found, Conflict) else Meaning.PERIOD
        return MeantBars(found.first, found.last, why)
    last = min(bar + BARS_FROM_HERE - 1, len(open_score.clock.bars))
    return MeantBars(bar, last, Meaning.HERE)


def finding_meant(open_score: OpenScore, chart: Chart, bar: int) -> MapFinding | None:
    """What pulls at a bar: a conflict that my part is in, a period of mine, any conflict that
    sounds, anything."""
    me = open_score.choices.part
    here = chart.at.get(bar, ())
    return min(here, key=lambda one: (not is_mine(one, me), _rank(one)), default=None)


def is_mine(one: MapFinding, me: str | None) -> bool:
    """Whether a part plays in what pulls."""
    if isinstance(one, Conflict):
        return any(me in side.parts for side in one.sides)
    return one.is_of(me)


def _rank(one: MapFinding) -> int:
    if isinstance(one, Period):
        return 1
    return 2 if one.is_notated else 0


def next_finding(chart: Chart, bar: int) -> MapFinding | None:
    """The first that begins after a bar."""
    return next((one for one in chart.found if one.first > bar), None)


def previous_finding(chart: Chart, bar: int) -> MapFinding | None:
    """The last that begins before a bar."""
    return next((one for one in reversed(chart.found) if one.first < bar), None)

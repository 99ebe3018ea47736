"""Where in a row of characters a moment of a passage stands.

Every bar gets columns in exact proportion to its clock time, and as many that the cuts of
both sides, and the notes if there is room, fall on whole columns. Three against two drawn
on a grid that cannot hold both is a picture of something else.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import pairwise
from math import ceil, floor, lcm
from typing import Protocol

from companion.session.lanes import Lane, Lanes

ROOMY, USUAL, TIGHT = 24, 12, 4
"""Columns a beat: the most there are, what is aimed at, and the fewest."""
HEAD, EASY = 2, 3
"""Columns a note on a staff takes at least, and takes to be read well."""


class Field(Protocol):
    """Columns between a barline and the first moment of a bar."""

    def __call__(self, bar: int, *, opens: bool) -> int:
        """For a bar of the passage, from 0; `opens` says whether a system begins with it."""


@dataclass(frozen=True, slots=True)
class LaneCell:
    """One bar in its system."""

    bar: int
    """Index of the bar in the passage, from 0."""
    line: int
    """Column of its left barline."""
    begin: int
    """Column of its first moment: after the barline, and the meters where one changes."""
    end: int
    """The column after its last moment, where the next barline stands."""


@dataclass(frozen=True, slots=True)
class Columns:
    """A passage in systems of whole bars."""

    lanes: Lanes
    """What is laid out."""
    scale: Fraction
    """Columns to a unit of clock time."""
    is_exact: bool
    """Whether all cuts of both sides stand on whole columns."""
    systems: tuple[tuple[LaneCell, ...], ...]
    """The bars of each system, in order."""
    is_easy: bool = True
    """Whether notes on staves are far enough apart to be read well."""

    def column(self, cell: LaneCell, time: Fraction) -> int:
        """The column of a clock time in a bar."""
        return cell.begin + floor((time - self.lanes.bars[cell.bar].start) * self.scale)

    def find(self, time: Fraction) -> tuple[int, int] | None:
        """System and column of a clock time; None outside the passage."""
        for number, system in enumerate(self.systems):
            for cell in system:
                if self.lanes.bars[cell.bar].start <= time < self.lanes.bars[cell.bar].end:
                    return number, self.column(cell, time)
        return None

    def system_of(self, bar: int) -> int:
        """The system that holds a bar of the passage, both from 0."""
        return next(number for number, system in enumerate(self.systems) if bar <= system[-1].bar)


def fitting_columns(
    lanes: Lanes, shown: Sequence[Lane], gutter: int, width: int, most: int
) -> Columns:
    """The widest scale at which the passage takes at most `most` systems, else a usual one.

    `shown` are the lanes that are drawn, `gutter` the columns left of the first barline.
    """
    beat = _beat(lanes)
    field = partial(meter_width, shown)
    laid = _laid(lanes, shown, TIGHT / beat, (gutter, width), field)
    fitting = [one for one in laid if len(one.systems) <= most]
    return fitting[-1] if fitting else min(laid, key=lambda one: abs(one.scale * beat - USUAL))


def staff_columns(
    lanes: Lanes,
    shown: Sequence[Lane],
    least: Fraction,
    edges: tuple[int, int, int],
    field: Field,
) -> Columns:
    """The same for notes on staves. If they do not all fit, as many bars as can be read well,
    two in a system if they can be.

    `least` is the clock time between the two notes that are closest, `edges` the columns of the
    first barline and of the right edge, and the most systems.
    """
    gutter, width, most = edges
    laid = _laid(lanes, shown, HEAD / least, (gutter, width), field)
    fitting = [one for one in laid if len(one.systems) <= most]
    easy = [one for one in laid if one.scale * least >= EASY]
    paired = (one for one in easy if all(len(system) > 1 for system in one.systems[:-1]))
    chosen = fitting[-1] if fitting else next(paired, laid[0])
    return replace(chosen, is_easy=chosen in easy)


def _laid(
    lanes: Lanes,
    shown: Sequence[Lane],
    tightest: Fraction,
    edges: tuple[int, int],
    field: Field,
) -> list[Columns]:
    """The passage at every scale that can serve, narrowest first; `edges` are the columns of
    the first barline and of the right edge."""
    gutter, width = edges
    widest_field = max(field(bar, opens=True) for bar in range(len(lanes.bars)))
    room = width - gutter - 2 - widest_field
    return [
        Columns(lanes, scale, is_exact, _systems(lanes, field, scale, gutter, width))
        for scale, is_exact in _scales(lanes, shown, room, tightest)
    ]


def meter_width(shown: Sequence[Lane], bar: int, *, opens: bool) -> int:
    """Columns for meters after a barline: at the opening of a system, and where one changes."""
    if not opens and all(lane.meters[bar] == lane.meters[bar - 1] for lane in shown):
        return 0
    longest = max(len(lane.meters[bar]) for lane in shown)
    return longest + 1 if longest else 0


def _beat(lanes: Lanes) -> Fraction:
    return min((b - a for a, b in pairwise(lanes.mine.beats)), default=Fraction(1))


def _scales(
    lanes: Lanes, shown: Sequence[Lane], room: int, tightest: Fraction
) -> list[tuple[Fraction, bool]]:
    """The scales that can serve, narrowest first, and whether both sides' cuts are exact."""
    longest = max(bar.length for bar in lanes.bars)
    widest = Fraction(max(1, room)) / longest
    beat = _beat(lanes)
    for moments in ([*_of_cuts(lanes), *_of_notes(lanes, shown)], [*_of_cuts(lanes)]):
        whole = lcm(*(moment.denominator for moment in moments))
        least = ceil(tightest / whole)
        most = max(least, floor(ROOMY / beat / whole))
        found = [Fraction(whole * k) for k in range(least, most + 1) if whole * k <= widest]
        if found:
            return [(scale, True) for scale in found]
    return [(min(widest, Fraction(ROOMY) / beat), False)]


def _of_cuts(lanes: Lanes) -> Iterator[Fraction]:
    """What must fall on whole columns: barlines, my beats and both sides' cuts."""
    starts = [bar.start for bar in lanes.bars]
    yield from (bar.length for bar in lanes.bars)
    yield from _offsets(lanes.mine.beats, starts)
    for bar, ruling in zip(lanes.bars, lanes.rulings, strict=True):
        yield from (cut.at - bar.start for cut in (*ruling.upper, *ruling.lower))


def _of_notes(lanes: Lanes, shown: Sequence[Lane]) -> Iterator[Fraction]:
    starts = [bar.start for bar in lanes.bars]
    for lane in shown:
        yield from _offsets([stroke.at for stroke in lane.strokes], starts)


def _offsets(times: Iterable[Fraction], starts: Sequence[Fraction]) -> Iterator[Fraction]:
    """How far after its barline each of some times stands; both in order."""
    bar = 0
    for time in times:
        while bar + 1 < len(starts) and starts[bar + 1] <= time:
            bar += 1
        yield time - starts[bar]


def _systems(
    lanes: Lanes, field: Field, scale: Fraction, gutter: int, width: int
) -> tuple[tuple[LaneCell, ...], ...]:
    systems: list[list[LaneCell]] = []
    for index, bar in enumerate(lanes.bars):
        columns = max(1, ceil(bar.length * scale))
        if systems:
            line = systems[-1][-1].end
            begin = line + 1 + field(index, opens=False)
            if begin + columns < width:
                systems[-1].append(LaneCell(index, line, begin, begin + columns))
                continue
        begin = gutter + 1 + field(index, opens=True)
        systems.append([LaneCell(index, gutter, begin, begin + columns)])
    return tuple(tuple(system) for system in systems)

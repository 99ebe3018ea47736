"""Each kind of row in a system of lanes, drawn character by character.

Every row asks the same columns where a moment stands, so that a count always stands
exactly above the note it counts.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import TypeVar

from rich.cells import cell_len, set_cell_size

from companion.score.clock import Bar
from companion.session.lanes import BeatCut, Lane, LaneNote, Lanes
from companion.tui.widgets.lane_columns import Columns, LaneCell, fitting_columns

_T = TypeVar("_T")


class _Line:
    """A row of blanks, with a name before it, that is written over."""

    def __init__(self, end: int, gutter: int, name: str = "") -> None:
        fits = cell_len(name) < gutter
        self.name = set_cell_size(name if fits else f"{set_cell_size(name, gutter - 2)}…", gutter)
        self.gutter = gutter
        self.signs = [" "] * (end - gutter)

    def put(self, column: int, text: str) -> None:
        """Write over what is there; what would run off the right edge is left out."""
        for at, sign in enumerate(text, column - self.gutter):
            if 0 <= at < len(self.signs):
                self.signs[at] = sign

    def lasting(self, column: int, after: int) -> int:
        """How many columns from one on, and before another, show a note that lasts."""
        signs = self.signs[column - self.gutter : after - self.gutter]
        return next((at for at, sign in enumerate(signs) if sign != "━"), len(signs))

    def __str__(self) -> str:
        return self.name + "".join(self.signs)


def bar_row(
    columns: Columns,
    system: Sequence[LaneCell],
    end: int,
    cursor: int | None = None,
    silent: Container[int] = (),
    name: str = "",
) -> str:
    """Bar numbers above their barlines; the one under the cursor in brackets.

    `silent` are the ordinal positions of bars without click: `×13`.

    Before them it says so where there are too few columns to hold both sides exactly.
    """
    line = _Line(end, system[0].line, name if columns.is_exact else f"≈ {name or 'rounded'}")
    for cell in system:
        label = columns.lanes.labels[cell.bar]
        label = f"×{label}" if columns.lanes.bars[cell.bar].number in silent else label
        label = f"[{label or ' '}]" if cell.bar == cursor else label
        line.put(cell.line, label[: cell.end - cell.line])
    return str(line)


def lane_row(columns: Columns, system: Sequence[LaneCell], end: int, lane: Lane, sign: str) -> str:
    """One part: its meters, notes, rests and barlines."""
    line = _Line(end, system[0].line, f"{sign} {lane.name}")
    for cell in system:
        bar = columns.lanes.bars[cell.bar]
        _draw_rests(line, columns, cell, lane, bar)
        _draw_lasting(line, columns, cell, lane, bar)
        _draw_own_barlines(line, columns, cell, lane, bar)
        _draw_strokes(line, columns, cell, _within(lane.strokes, bar, lambda one: one.at))
        if cell is system[0] or bar.start in _within(lane.barlines, bar, _itself)[:1]:
            line.put(cell.line, "│")
        if cell is system[0] or lane.meters[cell.bar] != lane.meters[cell.bar - 1]:
            line.put(cell.line + 1, lane.meters[cell.bar])
    line.put(system[-1].end, "│")
    return str(line)


def _draw_rests(line: _Line, columns: Columns, cell: LaneCell, lane: Lane, bar: Bar) -> None:
    for beat in _within(lane.beats, bar, _itself):
        line.put(columns.column(cell, beat), "·")


def _draw_lasting(line: _Line, columns: Columns, cell: LaneCell, lane: Lane, bar: Bar) -> None:
    first = max(0, bisect_left(lane.sounding, bar.start, key=lambda stretch: stretch[1]))
    for start, stop in lane.sounding[first:]:
        if start >= bar.end:
            return
        begin = columns.column(cell, max(start, bar.start))
        until = cell.end if stop >= bar.end else max(begin + 1, columns.column(cell, stop))
        if stop > bar.start:
            line.put(begin, "━" * (until - begin))


def _draw_own_barlines(line: _Line, columns: Columns, cell: LaneCell, lane: Lane, bar: Bar) -> None:
    """Barlines that are not the score's, just before the moment they stand at."""
    for time in _within(lane.barlines, bar, _itself):
        if time > bar.start:
            line.put(columns.column(cell, time) - 1, "╎")


def _draw_strokes(
    line: _Line, columns: Columns, cell: LaneCell, strokes: Sequence[LaneNote]
) -> None:
    places = [columns.column(cell, stroke.at) for stroke in strokes]
    for stroke, (column, after) in zip(strokes, pairwise([*places, cell.end]), strict=True):
        room = line.lasting(column + 1, after)
        name = _name_with_room(stroke.pitch, room - 1)
        # A name says that a note begins, if there is no room for the sign as well.
        bare = "" if name else _name_with_room(stroke.pitch, room + 1)
        line.put(column, bare or f"◆{name}")


def _name_with_room(pitch: str, room: int) -> str:
    """A note's name, without its octave where there is no room for it, or nothing."""
    bare = pitch.rstrip("0123456789")
    return next((name for name in (pitch, bare) if len(name) <= room), "")


def ruling_row(columns: Columns, system: Sequence[LaneCell], end: int, *, is_upper: bool) -> str:
    """The count of one side above or below its lane."""
    line = _Line(end, system[0].line, f"  {_ruling_name(columns, system, is_upper=is_upper)}")
    for cell in system:
        line.put(cell.line, "│")
        ruling = columns.lanes.rulings[cell.bar]
        cuts = ruling.upper if is_upper else ruling.lower
        places = [columns.column(cell, cut.at) for cut in cuts]
        for cut, (column, after) in zip(cuts, pairwise([*places, cell.end]), strict=True):
            line.put(column, _count(cut, after - column))
    line.put(system[-1].end, "│")
    return str(line)


def _count(cut: BeatCut, room: int) -> str:
    text = str(cut.count)
    return text if len(text) <= room else text[-1]


def _ruling_name(columns: Columns, system: Sequence[LaneCell], *, is_upper: bool) -> str:
    divisions = {
        columns.lanes.rulings[cell.bar].divisions[0 if is_upper else 1] for cell in system
    } - {""}
    if len(divisions) == 1:
        return divisions.pop()
    return "count" if divisions else ""


def together_row(columns: Columns, system: Sequence[LaneCell], end: int) -> str:
    """Between the facing lanes: where both sides strike, and where only one does."""
    line = _Line(end, system[0].line, "  together")
    for cell in system:
        line.put(cell.line, "│")
        ruling = columns.lanes.rulings[cell.bar]
        upper, lower = ({cut.at for cut in cuts} for cuts in (ruling.upper, ruling.lower))
        for time in upper | lower:
            sign = "┃" if time in upper & lower else "╵" if time in upper else "╷"
            line.put(columns.column(cell, time), sign)
    line.put(system[-1].end, "│")
    return str(line)


def _itself(time: Fraction) -> Fraction:
    return time


def _within(items: Sequence[_T], bar: Bar, time: Callable[[_T], Fraction]) -> Sequence[_T]:
    """Those of some items in order of time that fall in a bar."""
    return items[bisect_left(items, bar.start, key=time) : bisect_left(items, bar.end, key=time)]


# The rows of characters that show a passage in lanes. Pure text, no Textual.


LEGEND = "n: notes  ◆ note begins  ━ it lasts  · rest  ┃ together  ╵ upper  ╷ lower only"
"""One line that explains every sign."""
NOTES_LEGEND = "n: lanes  ┃ together  ╵ upper  ╷ lower only  ┌ eighth  ╒ sixteenth  ξ 7 rests"
"""The same for notes on staves."""
MINE, FACING = "●", "○"
"""Before the name of the player's own lane, and of the one it is compared with."""
_LONGEST_NAME = 12
"""Columns a part's name may take."""


@dataclass(frozen=True, slots=True)
class LaneRow:
    """One row of a system, without what moves over it (cursor and playhead)."""

    role: str
    """`bars`, `upper`, `mine`, `together`, `facing`, `lower`, `other`, `more` or `gap`."""
    text: str
    """Its characters, from the left edge."""


@dataclass(frozen=True, slots=True)
class LaneGrid:
    """A passage drawn for one width."""

    columns: Columns
    """Where everything stands."""
    systems: tuple[tuple[LaneRow, ...], ...]
    """The rows of each system, the gap after it included; all systems are equally high."""
    gutter: int
    """Columns left of the first barline."""
    name: str = ""
    """Whose notes stand under the bar numbers, where it is not said beside them."""

    @property
    def height(self) -> int:
        """Rows of one system, the gap included."""
        return len(self.systems[0])


def lane_grid(lanes: Lanes, width: int, height: int, *, alone: bool = False) -> LaneGrid:
    """Draw a passage for so many columns and rows; `alone` leaves only the facing lanes."""
    others = _others(lanes, height, alone=alone)
    left_out = 0 if alone else len(lanes.others) - len(others)
    facing = () if lanes.facing == lanes.mine else (lanes.facing,)
    shown = (lanes.mine, *facing, *others)
    names = (lanes.mine, lanes.facing, *lanes.others)
    gutter = 3 + max(len("together"), *(min(_LONGEST_NAME, cell_len(lane.name)) for lane in names))
    rows = _paired_rows(lanes) + len(others) + bool(left_out) + 1
    columns = fitting_columns(lanes, shown, gutter, width, max(1, (height + 1) // rows))
    systems = tuple(tuple(_rows(columns, system, others, left_out)) for system in columns.systems)
    return LaneGrid(columns, systems, gutter)


def _pulls(lanes: Lanes) -> bool:
    return any(ruling.conflict for ruling in lanes.rulings)


def _paired_rows(lanes: Lanes) -> int:
    """Rows of bar numbers, the facing lanes and, where anything pulls, what belongs to them."""
    return 6 if _pulls(lanes) else 2 if lanes.facing == lanes.mine else 3


def _others(lanes: Lanes, height: int, *, alone: bool) -> tuple[Lane, ...]:
    """The other lanes that fit on a screen; one row is kept for saying how many do not."""
    if alone:
        return ()
    room = max(0, height - _paired_rows(lanes))
    return lanes.others if len(lanes.others) <= room else lanes.others[: max(0, room - 1)]


def _rows(
    columns: Columns,
    system: tuple[LaneCell, ...],
    others: tuple[Lane, ...],
    left_out: int,
) -> list[LaneRow]:
    lanes, end = columns.lanes, system[-1].end + 1
    rows = [LaneRow("bars", bar_row(columns, system, end))]
    pulls = _pulls(lanes)
    if pulls:
        rows.append(LaneRow("upper", ruling_row(columns, system, end, is_upper=True)))
    rows.append(LaneRow("mine", lane_row(columns, system, end, lanes.mine, MINE)))
    if pulls:
        rows.append(LaneRow("together", together_row(columns, system, end)))
    if lanes.facing != lanes.mine:
        rows.append(LaneRow("facing", lane_row(columns, system, end, lanes.facing, FACING)))
    if pulls:
        rows.append(LaneRow("lower", ruling_row(columns, system, end, is_upper=False)))
    rows += [LaneRow("other", lane_row(columns, system, end, lane, " ")) for lane in others]
    if left_out:
        rows.append(
            LaneRow("more", f"  … and {left_out} more {'part' if left_out == 1 else 'parts'}")
        )
    return [*rows, LaneRow("gap", "")]

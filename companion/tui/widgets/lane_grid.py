"""The rows of characters that show a passage in lanes. Pure text, no Textual.

Our own signs, so that everything is seen without colour: `◆` a note begins, `━` it lasts,
`·` a beat of rest; between the two facing lanes `┃` where both sides meet, `╵` where only
the side of the lane above strikes, `╷` only the side of the lane below.
"""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len

from companion.desk.lanes import Lane, Lanes
from companion.tui.widgets.lane_columns import Cell, Columns, fit
from companion.tui.widgets.lane_rows import (
    bar_row,
    lane_row,
    ruling_row,
    together_row,
)

LEGEND = "◆ note begins  ━ it lasts  · rest  ┃ together  ╵ upper only  ╷ lower only"
"""One line that explains every sign."""
MINE, FACING = "●", "○"
"""Before the name of the player's own lane, and of the one it is compared with."""
LONGEST_NAME = 12
"""Columns a part's name may take."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a system, without what moves over it (cursor and playhead)."""

    role: str
    """`bars`, `upper`, `mine`, `together`, `facing`, `lower`, `other`, `more` or `gap`."""
    text: str
    """Its characters, from the left edge."""


@dataclass(frozen=True, slots=True)
class Grid:
    """A passage drawn for one width."""

    columns: Columns
    """Where everything stands."""
    systems: tuple[tuple[Row, ...], ...]
    """The rows of each system, the gap after it included; all systems are equally high."""
    gutter: int
    """Columns left of the first barline."""

    @property
    def height(self) -> int:
        """Rows of one system, the gap included."""
        return len(self.systems[0])


def grid(lanes: Lanes, width: int, height: int, *, alone: bool = False) -> Grid:
    """Draw a passage for so many columns and rows; `alone` leaves only the facing lanes."""
    others = _others(lanes, height, alone=alone)
    left_out = 0 if alone else len(lanes.others) - len(others)
    facing = () if lanes.facing == lanes.mine else (lanes.facing,)
    shown = (lanes.mine, *facing, *others)
    names = (lanes.mine, lanes.facing, *lanes.others)
    gutter = 3 + max(len("together"), *(min(LONGEST_NAME, cell_len(lane.name)) for lane in names))
    rows = _paired_rows(lanes) + len(others) + bool(left_out) + 1
    columns = fit(lanes, shown, gutter, width, max(1, (height + 1) // rows))
    systems = tuple(tuple(_rows(columns, system, others, left_out)) for system in columns.systems)
    return Grid(columns, systems, gutter)


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
    system: tuple[Cell, ...],
    others: tuple[Lane, ...],
    left_out: int,
) -> list[Row]:
    lanes, end = columns.lanes, system[-1].end + 1
    rows = [Row("bars", bar_row(columns, system, end))]
    pulls = _pulls(lanes)
    if pulls:
        rows.append(Row("upper", ruling_row(columns, system, end, is_upper=True)))
    rows.append(Row("mine", lane_row(columns, system, end, lanes.mine, MINE)))
    if pulls:
        rows.append(Row("together", together_row(columns, system, end)))
    if lanes.facing != lanes.mine:
        rows.append(Row("facing", lane_row(columns, system, end, lanes.facing, FACING)))
    if pulls:
        rows.append(Row("lower", ruling_row(columns, system, end, is_upper=False)))
    rows += [Row("other", lane_row(columns, system, end, lane, " ")) for lane in others]
    if left_out:
        rows.append(Row("more", f"  … and {left_out} more: up or down"))
    return [*rows, Row("gap", "")]

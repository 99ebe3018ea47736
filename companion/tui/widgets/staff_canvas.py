"""The rows of characters that a staff is drawn on, one for every line and every space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from companion.score.clock import Bar
from companion.tui.widgets.lane_columns import Columns, LaneCell
from companion.tui.widgets.staff_signs import StaffSigns

LINES = (0, 2, 4, 6, 8)
"""The five lines, in steps above the bottom one."""


@dataclass(frozen=True, slots=True)
class StaffRoom:
    """Which rows a staff has, the same for every system."""

    high: int
    """The uppermost row for heads and stems, in steps above the bottom line."""
    low: int
    over: tuple[str, ...]
    """Rows above, from the top: `marks`, `slurs`, `tuplets`, `octaves`, `name`."""
    under: tuple[str, ...]
    """Rows below: `dynamics`."""

    @property
    def height(self) -> int:
        """Rows in all."""
        return self.high - self.low + 1 + len(self.over) + len(self.under)


@dataclass(slots=True)
class StaffCanvas:
    """Rows of characters, reached by step or by name."""

    columns: Columns
    system: Sequence[LaneCell]
    room: StaffRoom
    signs: StaffSigns
    rows: list[list[str]] = field(init=False)

    def __post_init__(self) -> None:
        """Five lines."""
        self.rows = [[" "] * self.width for _ in range(self.room.height)]
        for height in LINES:
            self.put(height, 1, self.signs.line * (self.width - 1))

    @property
    def width(self) -> int:
        """Columns, the last barline included."""
        return self.system[-1].end + 1

    @property
    def start(self) -> Fraction:
        """Clock time at which the system begins."""
        return self._bar(self.system[0]).start

    @property
    def end(self) -> Fraction:
        """Clock time at which it is over."""
        return self._bar(self.system[-1]).end

    def cell(self, time: Fraction) -> LaneCell:
        """The bar of the score that a moment is in."""
        inside = (one for one in self.system if time < self._bar(one).end)
        return next(inside, self.system[-1])

    def column(self, time: Fraction) -> int:
        """The column of a moment."""
        return self.columns.column(self.cell(time), time)

    def opens_bar(self, time: Fraction) -> bool:
        """Whether a barline of the score stands at a moment."""
        return time == self._bar(self.cell(time)).start

    def _bar(self, cell: LaneCell) -> Bar:
        return self.columns.lanes.bars[cell.bar]

    def row(self, where: int | str) -> list[str] | None:
        """The row of a step or of a name; None if there is none."""
        room = self.room
        if isinstance(where, int):
            inside = room.low <= where <= room.high
            return self.rows[len(room.over) + room.high - where] if inside else None
        if where in room.over:
            return self.rows[room.over.index(where)]
        return self.rows[room.under.index(where) - len(room.under)] if where in room.under else None

    def put(self, where: int | str, column: int, text: str, over: str = "") -> bool:
        """Write; if `over` is given, only over those characters. Whether all of it was written."""
        row = self.row(where)
        inside = row is not None and column >= 0 and column + len(text) <= self.width
        if row is None or not inside:
            return False
        if over and any(sign not in over for sign in row[column : column + len(text)]):
            return False
        row[column : column + len(text)] = text
        return True

"""A passage as notes on staves, my part above the one it is compared with.

Both staves, and the counts above and below them, stand on the same columns as the lanes do,
so that what is struck together stands one under the other. If there is no room for a second
staff, the other part stays a lane.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import pairwise

from rich.cells import cell_len

from companion.score.staff import StaffBar, staff_bars
from companion.session.lanes import Lane, Lanes
from companion.tui.widgets.lane_columns import Columns, LaneCell, staff_columns
from companion.tui.widgets.lane_rows import (
    FACING,
    MINE,
    LaneGrid,
    LaneRow,
    bar_row,
    lane_row,
    ruling_row,
    together_row,
)
from companion.tui.widgets.staff_canvas import LINES, StaffRoom
from companion.tui.widgets.staff_drawing import (
    clef_columns,
    drawn_staff,
    key_columns,
    meter_columns,
)
from companion.tui.widgets.staff_marks import tuplets
from companion.tui.widgets.staff_notes import stems_up
from companion.tui.widgets.staff_signs import UNICODE, StaffSigns

_GUTTERS = (11, 13)
"""Columns left of the first barline that counts need, and that a longer name may take."""
_LEAD = 1
"""Columns before the first note of a bar, for its accidental."""
_LEAST = 9
"""Rows of a staff without anything above or below its lines."""
LEAST_HEIGHT = 1 + _LEAST
"""Rows below which lanes tell more: bar numbers and a staff."""


_COUNTS = ("upper", "together", "lower")
"""Rows that count both sides of a conflict."""


@dataclass(frozen=True, slots=True)
class _Staff:
    """One staff of one part over the passage."""

    lane: Lane
    sign: str
    bars: tuple[StaffBar, ...]
    role: str
    of: str = ""
    """`1/2` where the others of its part's staves have no room."""


def staff_grid(
    lanes: Lanes, width: int, height: int, signs: StaffSigns, *, alone: bool = False
) -> LaneGrid:
    """Draw a passage as notes for so many columns and rows; `alone` leaves only my part."""
    mine = _staves(lanes, lanes.mine, MINE, "mine")
    alone = alone or lanes.facing == lanes.mine
    facing = [] if alone else _staves(lanes, lanes.facing, FACING, "facing")
    beside = _beside(lanes, height - _wanted(mine[0], _LEAST), is_alone=alone)
    staves = _fitting(mine, facing, height - 1 - len(beside - {"facing"}))
    if len(staves) > len(mine):
        beside -= {"facing"}
    around = 2 + len(beside)
    rooms = _rooms(staves, height + 1 - around)
    rows = around + sum(room.height for room in rooms)
    signature = max((abs(bar.fifths) for staff in staves for bar in staff.bars), default=0)
    longest = 3 + max(cell_len(lane.name) for lane in (lanes.mine, lanes.facing))
    gutter = max(_GUTTERS[0], 4 + signature, min(_GUTTERS[1], longest))
    columns = staff_columns(
        lanes,
        [lanes.mine] if alone else [lanes.mine, lanes.facing],
        _least(lanes, staves),
        (gutter, width, max(1, (height + 1) // rows)),
        partial(_field, lanes, staves),
    )
    draw = partial(_system, columns, staves, rooms, beside, signs)
    systems = tuple(tuple(draw(system)) for system in columns.systems)
    if len(systems) == 1 and not alone:
        others = _others(columns, lanes.others[: max(0, height - rows)])
        systems = ((*systems[0][:-1], *others, systems[0][-1]),)
    return LaneGrid(columns, systems, gutter, _name(staves[0]))


def _others(columns: Columns, others: Sequence[Lane]) -> list[LaneRow]:
    """The parts that are not compared, as lanes below, if there is room."""
    [system] = columns.systems
    end = system[-1].end + 1
    return [LaneRow("other", lane_row(columns, system, end, lane, "")) for lane in others]


def _beside(lanes: Lanes, room: int, *, is_alone: bool) -> frozenset[str]:
    """The rows of counts and lanes for which a staff leaves room, the least needed first to go."""
    pulls = any(ruling.conflict for ruling in lanes.rulings)
    wanted = [*_COUNTS, "facing"] if pulls else ["facing"]
    if is_alone:
        wanted.remove("facing")
    for name in ("lower", "facing", "together", "upper"):
        if 1 + len(wanted) > room and name in wanted:
            wanted.remove(name)
    return frozenset(wanted)


def _name(staff: _Staff) -> str:
    name, room = staff.lane.name, _GUTTERS[1] - 3 - len(staff.of)
    return f"{staff.sign} {name if cell_len(name) <= room else f'{name[: room - 1]}…'}{staff.of}"


def _staves(lanes: Lanes, lane: Lane, sign: str, role: str) -> list[_Staff]:
    """The staves of a part that have notes here; the first one where none has."""
    count = lanes.clock.score.parts[lane.part].staves
    found = [
        _Staff(lane, sign, staff_bars(lanes.clock, lane.part, number, lanes.bars), role)
        for number in range(1, count + 1)
    ]
    playing = [one for one in found if any(note.heads for bar in one.bars for note in bar.notes)]
    return playing or found[:1]


def _fitting(mine: list[_Staff], facing: list[_Staff], room: int) -> list[_Staff]:
    """All staves if they have room, else mine, else my first."""
    for staves in ([*mine, *facing], mine):
        if sum(_wanted(staff, _LEAST) for staff in staves) <= room:
            return staves
    return [replace(mine[0], of=f" 1/{len(mine)}" if mine[1:] else "")]


def _wanted(staff: _Staff, most: int) -> int:
    return max(most, _room(staff, most).height)


def _rooms(staves: Sequence[_Staff], rows: int) -> list[StaffRoom]:
    """What each staff gets of the rows there are: what it needs, then equal shares."""
    rooms = [_room(staff, rows) for staff in staves]
    if sum(room.height for room in rooms) > rows:
        rooms = [_room(staff, rows // len(staves)) for staff in staves]
    return rooms


def _room(staff: _Staff, rows: int) -> StaffRoom:
    """The rows a staff makes use of, at most `rows` and at least its lines."""
    over, under = _named_rows(staff)
    low, high = _reach(staff)
    # The first to go if there is no room; without it notes can still be read.
    for name in ("slurs", "dynamics", "marks"):
        if high - low + 1 + len(over) + len(under) > rows:
            over = tuple(one for one in over if one != name)
            under = tuple(one for one in under if one != name)
    is_beyond = high > LINES[-1] or low < LINES[0]
    if is_beyond and high - low + 1 + len(over) + len(under) > rows:
        over = (*over, "octaves")
        while high - low + 1 + len(over) > rows and (high > LINES[-1] or low < LINES[0]):
            if high - LINES[-1] >= LINES[0] - low:
                high -= 1
            else:
                low += 1
    return StaffRoom(high, low, over, under)


def _reach(staff: _Staff) -> tuple[int, int]:
    """The lowest and the highest row that heads and their stems want."""
    low, high = LINES[0], LINES[-1]
    for bar in staff.bars:
        for note in bar.notes:
            if note.heads:
                bottom, top = note.heads[0].height, note.heads[-1].height
                is_up = stems_up([note])
                low = min(low, bottom if is_up else bottom - 1)
                high = max(high, top + 1 if is_up else top)
    return low, high


def _named_rows(staff: _Staff) -> tuple[tuple[str, ...], tuple[str, ...]]:
    notes = [note for bar in staff.bars for note in bar.notes]
    marks = {mark for note in notes for mark in note.marks}
    over = [
        name
        for name, is_there in (
            ("marks", bool(marks & UNICODE.marks.keys())),
            ("slurs", "slur-start" in marks or "slur-stop" in marks),
            ("tuplets", any(True for _ in tuplets(notes))),
        )
        if is_there
    ]
    if staff.role == "facing" and not over:
        over = ["name"]
    return tuple(over), ("dynamics",) if any(bar.dynamics for bar in staff.bars) else ()


def _least(lanes: Lanes, staves: Sequence[_Staff]) -> Fraction:
    """Clock time between the two moments on one staff that are closest."""
    gaps = [
        after - before
        for staff in staves
        for before, after in pairwise(
            sorted({note.at for bar in staff.bars for note in bar.notes if not note.is_grace})
        )
    ]
    return min([*gaps, min(bar.length for bar in lanes.bars)])


def _field(lanes: Lanes, staves: Sequence[_Staff], bar: int, *, opens: bool) -> int:
    """Columns between a barline and the first note: clef, key and meter where they change."""
    widest = 0
    for staff in staves:
        own = [one for one in staff.bars if one.start <= lanes.bars[bar].start < one.end]
        at = staff.bars.index(own[0]) if own else 0
        if not own:
            continue
        before = staff.bars[at - 1] if at else None
        taken = meter_columns(own[0].meter) if opens or _changes(own[0], before) else 0
        if before is not None and not opens:
            taken += clef_columns(own[0], before) + key_columns(own[0], before)
        widest = max(widest, taken)
    return widest + _LEAD


def _changes(bar: StaffBar, before: StaffBar | None) -> bool:
    return before is None or before.meter != bar.meter


def _system(
    columns: Columns,
    staves: Sequence[_Staff],
    rooms: Sequence[StaffRoom],
    beside: frozenset[str],
    signs: StaffSigns,
    system: tuple[LaneCell, ...],
) -> list[LaneRow]:
    lanes, end = columns.lanes, system[-1].end + 1
    drawn: dict[str, list[LaneRow]] = {"mine": [], "facing": []}
    for staff, room in zip(staves, rooms, strict=True):
        rows = drawn_staff(columns, system, staff.bars, room, signs)
        if staff.role == "facing" and not drawn["facing"]:
            # Over the clef nothing else stands.
            rows[0] = _name(staff).ljust(system[0].line) + rows[0][system[0].line :]
        drawn[staff.role] += [LaneRow(f"staff-{staff.role}", row) for row in rows]

    def row(name: str, draw: Callable[[], str]) -> list[LaneRow]:
        return [LaneRow(name, draw())] if name in beside else []

    return [
        LaneRow("bars", bar_row(columns, system, end, name=_name(staves[0]))),
        *row("upper", lambda: ruling_row(columns, system, end, is_upper=True)),
        *drawn["mine"],
        *row("together", lambda: together_row(columns, system, end)),
        *drawn["facing"],
        *row("facing", lambda: lane_row(columns, system, end, lanes.facing, FACING)),
        *row("lower", lambda: ruling_row(columns, system, end, is_upper=False)),
        LaneRow("gap", ""),
    ]

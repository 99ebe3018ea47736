"""One staff drawn in characters: a row for every line and every space.

The place of a head among the rows is its pitch, its column is its moment on the shared clock.
"""

from __future__ import annotations

from collections.abc import Sequence

from companion.score.staff import (
    MIDDLE,
    Clef,
    StaffBar,
    StaffNote,
    beams,
    key_heights,
    key_signature,
)
from companion.tui.widgets.lane_columns import Columns, LaneCell
from companion.tui.widgets.staff_canvas import LINES, StaffCanvas, StaffRoom
from companion.tui.widgets.staff_marks import draw_marks, draw_slurs
from companion.tui.widgets.staff_notes import draw_notes
from companion.tui.widgets.staff_signs import StaffSigns

_FIRST = 3
"""Column of the key; the clef stands before it."""
_OCTAVES = {0: "", -7: "8va", -14: "15ma", 7: "8vb", 14: "15mb"}


def drawn_staff(
    columns: Columns,
    system: Sequence[LaneCell],
    bars: Sequence[StaffBar],
    room: StaffRoom,
    signs: StaffSigns,
) -> list[str]:
    """The rows of one staff in one system."""
    canvas = StaffCanvas(columns, system, room, signs)
    shown: list[StaffNote] = []
    before: StaffBar | None = None
    for bar in bars:
        if bar.start < canvas.end and bar.end > canvas.start:
            _draw_opening(canvas, bar, before)
            shown += _draw_bar(canvas, bar)
        before = bar
    draw_slurs(canvas, shown)
    _draw_barline(canvas, system[-1].end, signs.bar)
    return ["".join(row) for row in canvas.rows]


def _draw_bar(canvas: StaffCanvas, bar: StaffBar) -> list[StaffNote]:
    """Everything in one bar; its notes that are in the system."""
    notes = [note for note in bar.notes if canvas.start <= note.at < canvas.end]
    shift = _octave(canvas.room, notes)
    beamed = [
        seen
        for group in beams(bar)
        if (seen := [note for note in group if canvas.start <= note.at < canvas.end])
    ]
    draw_notes(canvas, bar, notes, beamed, shift)
    if shift:
        canvas.put("octaves", canvas.column(notes[0].at), _OCTAVES[shift])
    draw_marks(canvas, bar, notes)
    for at, clef in bar.clefs:
        if canvas.start < at < min(bar.end, canvas.end):
            _draw_clef(canvas, canvas.column(at) - 1, clef)
    return notes


def _octave(room: StaffRoom, notes: Sequence[StaffNote]) -> int:
    """The steps that bring a bar's heads onto the rows, if whole octaves do."""
    heights = [head.height for note in notes for head in note.heads] or [MIDDLE]
    fitting = (
        shift
        for shift in _OCTAVES
        if room.low <= min(heights) + shift and max(heights) + shift <= room.high
    )
    return next(fitting, 0)


def _draw_opening(canvas: StaffCanvas, bar: StaffBar, before: StaffBar | None) -> None:
    """Clef, key and meter at the left, and what changes at later barlines."""
    time = max(bar.start, canvas.start)
    cell = canvas.cell(time)
    if time != canvas.start and not canvas.opens_bar(time):
        _draw_barline(canvas, canvas.column(time) - 1, canvas.signs.own_bar)
        return
    at = cell.line + 1
    if time == canvas.start:
        _draw_clef(canvas, 1, bar.clef)
        _draw_key(canvas, _FIRST, bar.fifths, bar.clef)
    else:
        _draw_barline(canvas, cell.line, canvas.signs.bar)
        at += _draw_changes(canvas, at, bar, before)
    if bar.meter and (time == canvas.start or before is None or before.meter != bar.meter):
        _draw_meter(canvas, at, bar.meter)


def _draw_changes(canvas: StaffCanvas, at: int, bar: StaffBar, before: StaffBar | None) -> int:
    """A new clef or key; columns taken."""
    if before is None:
        return 0
    taken = clef_columns(bar, before)
    if taken:
        _draw_clef(canvas, at, bar.clef)
    if before.fifths != bar.fifths:
        # A key without signs is told by naturals in the places of the old ones.
        sign = "" if bar.fifths else "n"
        _draw_key(canvas, at + taken, bar.fifths or before.fifths, bar.clef, sign)
    return taken + key_columns(bar, before)


def clef_columns(bar: StaffBar, before: StaffBar) -> int:
    """Columns of a clef that changes at a barline."""
    held = before.clefs[-1][1] if before.clefs else before.clef
    return 2 if held != bar.clef else 0


def key_columns(bar: StaffBar, before: StaffBar) -> int:
    """Columns of a key that changes at a barline."""
    if bar.fifths == before.fifths:
        return 0
    return abs(bar.fifths or before.fifths) + 1


def meter_columns(meter: str) -> int:
    """Columns of a meter."""
    return max(len(half) for half in meter.rpartition("/")[::2]) + 1 if meter else 0


def _draw_meter(canvas: StaffCanvas, at: int, meter: str) -> None:
    above, _, below = meter.rpartition("/")
    wide = max(len(above), len(below))
    canvas.put(MIDDLE + 2, at, above.center(wide))
    canvas.put(MIDDLE - 2, at, below.center(wide))


def _draw_barline(canvas: StaffCanvas, column: int, signs: str) -> None:
    """`signs`: at the top line, between lines, on a line, at the bottom line."""
    top, between, on_line, bottom = tuple(signs)
    for height in range(LINES[0], LINES[-1] + 1):
        canvas.put(height, column, on_line if height in LINES else between)
    canvas.put(LINES[-1], column, top)
    canvas.put(LINES[0], column, bottom)


def _draw_clef(canvas: StaffCanvas, column: int, clef: Clef) -> None:
    canvas.put(clef.height, column, clef.sign)
    if clef.octaves:
        where = clef.height + (2 if clef.octaves > 0 else -2)
        canvas.put(where, column, "8" if abs(clef.octaves) == 1 else "15")


def _draw_key(canvas: StaffCanvas, column: int, fifths: int, clef: Clef, sign: str = "") -> None:
    """The signs of a key, or `sign` in their places."""
    places = zip(key_signature(fifths).values(), key_heights(fifths, clef), strict=True)
    for at, (own, height) in enumerate(places):
        canvas.put(height, column + at, canvas.signs.accidentals[sign or own])

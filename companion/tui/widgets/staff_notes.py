"""Notes on a staff in characters: heads on their line or space, stems, beams, dots, rests.

A head that no row is left for is written as a name at the edge, so that no pitch is lost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction

from companion.score.staff import MIDDLE, Head, StaffBar, StaffNote
from companion.tui.widgets.staff_canvas import LINES, StaffCanvas

STEM = 3
"""Rows of a stem, if there is room."""
_WHOLE = 4
"""Quarters of a whole note, which has no stem."""


def draw_notes(
    canvas: StaffCanvas,
    bar: StaffBar,
    notes: Sequence[StaffNote],
    beamed: Sequence[Sequence[StaffNote]],
    shift: int,
) -> None:
    """The notes of one bar, those of each beam together, `shift` steps above their place."""
    ups = _stem_sides(notes)
    under = {id(note) for group in beamed for note in group}
    for group in beamed:
        _draw_beam(canvas, group, shift, ups.get(group[0].voice))
    for note in notes:
        if note.heads and not note.is_grace and id(note) not in under:
            _draw_stem(canvas, note, shift, ups.get(note.voice))
    for note in notes:
        if note.heads:
            _draw_heads(canvas, note, shift)
        else:
            _draw_rest(canvas, bar, note, ups.get(note.voice))
    if not bar.notes and canvas.start <= bar.start < canvas.end:
        _draw_whole_rest(canvas, bar, MIDDLE + 2)


def _stem_sides(notes: Sequence[StaffNote]) -> Mapping[str, bool]:
    """Of two voices, the first has its stems up; one voice alone turns them as it lies."""
    voices = list(dict.fromkeys(note.voice for note in notes if note.heads))
    return {voice: at == 0 for at, voice in enumerate(voices)} if len(voices) > 1 else {}


def stems_up(notes: Sequence[StaffNote]) -> bool:
    """Whether stems go up: the head farthest from the middle line decides, on it down."""
    heights = [head.height for note in notes for head in note.heads]
    return MIDDLE - min(heights) > max(heights) - MIDDLE


def _tip(canvas: StaffCanvas, notes: Sequence[StaffNote], shift: int, *, is_up: bool) -> int:
    """Where stems end."""
    heights = [head.height + shift for note in notes for head in note.heads]
    if is_up:
        return min(max(heights) + STEM, canvas.room.high)
    return max(min(heights) - STEM, canvas.room.low)


def _draw_beam(
    canvas: StaffCanvas, group: Sequence[StaffNote], shift: int, up: bool | None
) -> None:
    is_up = stems_up(group) if up is None else up
    tip = _tip(canvas, group, shift, is_up=is_up)
    kinds = canvas.signs.beams_up if is_up else canvas.signs.beams_down
    places = [canvas.column(note.at) for note in group]
    for note, column in zip(group, places, strict=True):
        _stem_to(canvas, note, shift, column, tip)
    for at, note in enumerate(group[:-1]):
        shared = min(note.flags, group[at + 1].flags)
        beam = kinds[min(shared, 3) - 1][1]
        wide = places[at + 1] - places[at]
        canvas.put(tip, places[at], beam * wide)
    for at, (note, column) in enumerate(zip(group, places, strict=True)):
        which = 0 if at == 0 else 3 if at == len(group) - 1 else 2
        canvas.put(tip, column, kinds[min(note.flags, 3) - 1][which])


def _draw_stem(canvas: StaffCanvas, note: StaffNote, shift: int, up: bool | None) -> None:
    if note.value >= _WHOLE:
        return
    is_up = stems_up([note]) if up is None else up
    tip = _tip(canvas, [note], shift, is_up=is_up)
    column = canvas.column(note.at)
    _stem_to(canvas, note, shift, column, tip)
    if note.flags:
        kinds = canvas.signs.beams_up if is_up else canvas.signs.beams_down
        canvas.put(tip, column, kinds[min(note.flags, 3) - 1][0])


def _stem_to(canvas: StaffCanvas, note: StaffNote, shift: int, column: int, tip: int) -> None:
    heights = [head.height + shift for head in note.heads]
    slashes = next((mark for mark in note.marks if mark.startswith("tremolo")), "")
    for height in range(min(*heights, tip), max(*heights, tip) + 1):
        canvas.put(height, column, canvas.signs.stem)
    count = int(slashes[-1]) if slashes[-1:].isdecimal() else 3 if slashes else 0
    side = 1 if tip > max(heights) else -1
    start = max(heights) if side > 0 else min(heights)
    for step in range(1, min(count, abs(tip - start)) + 1):
        canvas.put(start + side * step, column, canvas.signs.slash)


def _draw_heads(canvas: StaffCanvas, note: StaffNote, shift: int) -> None:
    column = canvas.column(note.at)
    if note.is_grace:
        column = _free_before(canvas, note, shift, column)
    for head in note.heads:
        height = head.height + shift
        if not canvas.room.low <= height <= canvas.room.high:
            _draw_name(canvas, head, column, is_high=height > MIDDLE)
            continue
        _draw_ledgers(canvas, height, column)
        canvas.put(height, column, _head(canvas, note, head))
        sign = "".join(canvas.signs.accidentals.get(part, "") for part in _parts(head.accidental))
        canvas.put(height, column - len(sign), sign)
        for dot in range(note.dots):
            # Beside a line the dot stands in the space above, as on every page.
            row = height if height % 2 else min(height + 1, canvas.room.high)
            canvas.put(row, column + 1 + dot, ".", over=" " + canvas.signs.line)
        if head.is_tied:
            row = height - 1 if height - 1 >= canvas.room.low else height
            canvas.put(row, column + 1, canvas.signs.tie, over=" " + canvas.signs.line)


def _free_before(canvas: StaffCanvas, note: StaffNote, shift: int, column: int) -> int:
    """A column for a grace note, left of the note it leads to and of its accidental."""
    row = canvas.row(note.heads[0].height + shift)
    for at in (column - 2, column - 1):
        if row is not None and at > 0 and row[at] in " " + canvas.signs.line:
            return at
    return column - 1


def _draw_name(canvas: StaffCanvas, head: Head, column: int, *, is_high: bool) -> None:
    edge = canvas.room.high if is_high else canvas.room.low
    signs = canvas.signs
    free = f" {signs.line}{signs.stem}{''.join((*signs.beams_up, *signs.beams_down))}"
    for name in (head.pitch, head.pitch.rstrip("0123456789-")):
        if canvas.put(edge, column, name, over=free):
            return
    # Over a neighbour's octave, never without its own accidental.
    canvas.put(edge, min(column, canvas.width - len(head.pitch)), head.pitch)


def _parts(accidental: str) -> tuple[str, ...]:
    bent = accidental[-1:] if accidental[-1:] in ("^", "~") else ""
    return (accidental.removesuffix(bent), bent) if bent else (accidental,)


def _head(canvas: StaffCanvas, note: StaffNote, head: Head) -> str:
    signs = canvas.signs
    if head.pitch == "x":
        return signs.unpitched
    if note.is_grace or note.is_cue:
        return signs.small
    if note.value < Fraction(2):
        return signs.black
    return signs.breve if note.value > _WHOLE else signs.white


def _draw_ledgers(canvas: StaffCanvas, height: int, column: int) -> None:
    above = range(LINES[-1] + 2, height + 1, 2)
    below = range(LINES[0] - 2, height - 1, -2)
    for line in (*above, *below):
        for at in (column - 1, column, column + 1):
            canvas.put(line, at, canvas.signs.ledger, over=" ")


def _draw_rest(canvas: StaffCanvas, bar: StaffBar, note: StaffNote, up: bool | None) -> None:
    middle = MIDDLE + (0 if up is None else 2 if up else -2)
    if note.fills_bar:
        _draw_whole_rest(canvas, bar, middle + 2)
        return
    column, signs = canvas.column(note.at), canvas.signs
    if note.value >= _WHOLE:
        canvas.put(middle + 1, column, signs.whole_rest)
    elif note.value >= 2:
        canvas.put(middle + 1, column, signs.half_rest)
    elif note.value >= 1:
        canvas.put(middle, column, signs.quarter_rest)
    for flag in range(note.flags):
        canvas.put(middle - flag, column, signs.short_rest)
    for dot in range(note.dots):
        canvas.put(middle + 1, column + 1 + dot, ".", over=" " + signs.line)


def _draw_whole_rest(canvas: StaffCanvas, bar: StaffBar, line: int) -> None:
    """In the middle of the bar, hanging under a line."""
    until = min(bar.end, canvas.end)
    middle = (max(bar.start, canvas.start) + until) / 2
    canvas.put(line - 1, canvas.column(middle), canvas.signs.whole_rest)

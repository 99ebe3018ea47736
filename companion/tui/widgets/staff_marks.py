"""What stands around the notes of a staff: tuplet numbers, slurs, bow marks, dynamics."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from companion.score.staff import StaffBar, StaffNote
from companion.tui.widgets.staff_canvas import StaffCanvas


def draw_marks(canvas: StaffCanvas, bar: StaffBar, notes: Sequence[StaffNote]) -> None:
    """Bow marks and the like over the notes, tuplet numbers, dynamics below."""
    for note in notes:
        column = canvas.column(note.at)
        wanted = [sign for mark, sign in canvas.signs.marks.items() if mark in note.marks]
        canvas.put("marks", column, "".join(wanted[:2]), over=" ") or canvas.put(
            "marks", column, "".join(wanted[:1]), over=" "
        )
    for run in tuplets(notes):
        _draw_tuplet(canvas, run)
    for at, text in bar.dynamics:
        if canvas.start <= at < canvas.end:
            _draw_below(canvas, canvas.column(at), text)


def _draw_below(canvas: StaffCanvas, column: int, text: str) -> None:
    """A word under its note, or as near to the right of it as there is room."""
    row = canvas.row("dynamics")
    while row is not None and column < len(row) and row[max(0, column - 1)] != " ":
        column += 1
    canvas.put("dynamics", column, text, over=" ")


def tuplets(notes: Sequence[StaffNote]) -> Iterator[list[StaffNote]]:
    """The notes under each tuplet number: a run is whole when its notes fill the time of as
    many plain ones."""
    for voice in dict.fromkeys(note.voice for note in notes):
        run: list[StaffNote] = []
        filled = Fraction(0)
        for note in notes:
            if note.voice != voice or note.is_grace:
                continue
            if run and note.tuplet != run[0].tuplet:
                yield run
                run, filled = [], Fraction(0)
            if note.tuplet is None:
                continue
            run.append(note)
            filled += note.value * (2 - Fraction(1, 2**note.dots))
            actual = note.tuplet[0]
            if filled % (actual * min(one.value for one in run)) == 0:
                yield run
                run, filled = [], Fraction(0)
        if run:
            yield run


def _draw_tuplet(canvas: StaffCanvas, run: Sequence[StaffNote]) -> None:
    ratio = run[0].tuplet
    if ratio is None:
        return
    number = str(ratio[0])
    first, last = canvas.column(run[0].at), canvas.column(run[-1].at)
    left, line, right = canvas.signs.slur
    if last - first > len(number) + 1:
        canvas.put("tuplets", first, left + line * (last - first - 1) + right)
    canvas.put("tuplets", (first + last + 1 - len(number)) // 2, number)


def draw_slurs(canvas: StaffCanvas, notes: Sequence[StaffNote]) -> None:
    """The outermost slurs over the notes of a system."""
    left, line, right = canvas.signs.slur
    depth, begin = 0, canvas.system[0].begin
    for note in notes:
        column = canvas.column(note.at)
        # A slur that ends where another begins: the first is over before the second starts.
        if "slur-stop" in note.marks:
            depth = max(0, depth - 1)
            if not depth:
                _draw_slur(canvas, begin, column)
        if "slur-start" in note.marks:
            begin = begin if depth else column
            depth += 1
    if depth:
        _draw_slur(canvas, begin, canvas.system[-1].end - 1)


def _draw_slur(canvas: StaffCanvas, first: int, last: int) -> None:
    left, line, right = canvas.signs.slur
    row = canvas.row("slurs")
    if row is not None and last > first:
        # Where one slur ends and the next begins on one note, the first ends beside it.
        begin = first if row[first] == " " else first + 1
        canvas.put("slurs", begin, (left + line * (last - begin - 1) + right)[: last - begin + 1])

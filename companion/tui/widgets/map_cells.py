"""The map in characters: five columns a bar, every state a shape, no colour needed.

Kept apart from the widget so that what a player reads can be tested as plain text.
"""

from __future__ import annotations

from collections.abc import Container

from rich.cells import cell_len, set_cell_size

from companion.desk.chart import Cell

WIDTH = 5
"""Columns of one bar; the last one stays free between bars."""

LEGEND = "━ plays  · rests  6/8 meter  ━3━ divides by 3  [3:2] conflict  ● my part"
"""What the shapes mean, in one line of 80 columns."""


def part_cell(cell: Cell, division: int = 0) -> str:
    """One part in one bar; `division` is its side's in a conflict, 0 where it is on none."""
    fill = "━" if cell.plays else "·" if cell.shows_meter or division else " "
    if cell.shows_meter:
        return fitted(_filled(cell.meter, WIDTH - 1, fill), WIDTH)
    if division:
        return f"{fill}{division}{fill}".ljust(WIDTH - 1, fill if cell.plays else " ") + " "
    if cell.plays:
        return fill * (WIDTH - 1) + " "
    return " ·   " if cell.meter else " " * WIDTH


def number_cell(label: str, *, is_selected: bool) -> str:
    """The number of a bar; a selected span is doubly underscored through its columns."""
    fill = "═" if is_selected else " "
    return _filled(fitted(label, WIDTH - 1).rstrip(), WIDTH, fill)


def mark_row(marks: dict[int, str], first: int, count: int) -> str:
    """Rehearsal marks and movements above the bars `first` and on; long ones are cut."""
    row = ""
    inside = sorted(number for number in marks if first <= number < first + count)
    for number, following in zip(inside, [*inside[1:], first + count], strict=False):
        row = _filled(row, (number - first) * WIDTH, " ")
        row += fitted(marks[number], (following - number) * WIDTH - 1) + " "
    return _filled(row, count * WIDTH, " ")


def conflict_bracket(
    ratio: str, level: str, bars: int, *, is_mine: bool, begins: bool = True, ends: bool = True
) -> str:
    """A conflict over `bars` visible bars; ‹ or › where it goes on beyond the screen."""
    width = bars * WIDTH
    left, right = "[" if begins else "‹", "]" if ends else "›"
    label = f"{ratio} {level}" if width >= len(ratio) + len(level) + 4 else ratio
    fill = "━" if is_mine else "─"
    if len(label) + 2 > width:
        return fitted(label, width)
    return left + label.ljust(width - 2, fill) + right


def whole_score(bars: int, conflicts: Container[int], window: range, width: int) -> str:
    """The whole score in one line: ▪ where conflicts are, [ ] around the bars on the screen."""
    row = []
    for column in range(width):
        begin = column * bars // width + 1
        end = max(begin + 1, (column + 1) * bars // width + 1)
        row.append("▪" if any(number in conflicts for number in range(begin, end)) else "·")
    left = min((window.start - 1) * width // bars, width - 2)
    right = max(left + 1, (window.stop - 1) * width // bars - 1)
    row[left], row[right] = "[", "]"
    return "".join(row)


def _filled(text: str, width: int, fill: str) -> str:
    return text + fill * (width - cell_len(text))


def fitted(text: str, width: int) -> str:
    """Text in exactly `width` columns, with … where something was cut."""
    if cell_len(text) <= width:
        return set_cell_size(text, width)
    return set_cell_size(text, width - 1) + "…" if width > 1 else "…"[:width]

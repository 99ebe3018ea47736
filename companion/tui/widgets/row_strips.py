"""A row of a passage as a strip for the toolkit, without and with the playhead over it."""

from __future__ import annotations

from itertools import groupby

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip


def row_strip(text: str, style: Style, staff_line: str) -> Strip:
    """A row without the playhead; `staff_line` is drawn fainter than what stands on it."""
    if not staff_line:
        return Strip([Segment(text, style)])
    faint = style + Style(bold=False, dim=True)
    runs = groupby(text, key=staff_line.__eq__)
    return Strip([Segment("".join(run), faint if is_line else style) for is_line, run in runs])


def with_playhead(strip: Strip, column: int, style: Style, over: Style) -> Strip:
    """In one piece: to cut and join strips of the toolkit takes three times as long."""
    width = max(strip.cell_length, column + 1)
    strip = strip.adjust_cell_length(width, style)
    left, here, right = Segment.divide(strip, [column, column + 1, width + 1])
    heard = Segment("".join(segment.text for segment in here), style + over)
    return Strip([*left, heard, *right], width)

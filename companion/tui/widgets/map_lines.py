"""The map line by line: what stands on each line, each piece with what kind of thing it is.

No styles and no widget here, so that a whole screen of the map can be tested as text.
"""

from __future__ import annotations

from dataclasses import dataclass

from companion.desk.chart import Chart
from companion.desk.stand import Stand
from companion.rhythm.conflicts import Conflict
from companion.tui.widgets import map_cells
from companion.tui.widgets.map_cells import WIDTH, fitted

MOST_LANES = 3
"""Rows of conflicts shown at most; the words below the map tell all of them."""
LONGEST_NAME = 12
"""Columns for part names at most."""
KINDS = frozenset({"quiet", "number", "meter", "more", "fewer", "mine", "selected", "cursor"})
"""What kinds of things stand on the map."""

Line = list[tuple[str, str]]
"""Pieces of text, each with its kind."""


@dataclass(frozen=True, slots=True)
class Sight:
    """What of a map is in sight, and what is pointed at."""

    stand: Stand
    """The score."""
    chart: Chart
    """The same in columns."""
    bars: range
    """Ordinal positions of the bars in sight."""
    parts: range
    """Indices of the parts in sight."""
    bar: int
    """Ordinal position of the bar under the cursor."""
    part: int
    """Index of the part under the cursor."""
    selection: range
    """Ordinal positions of the selected bars; empty where none are."""


def lines_around(chart: Chart) -> int:
    """How many lines of a map are not parts: marks, numbers, conflicts, the whole score."""
    return 2 + chart.is_numbered_otherwise + _lane_count(chart) + 1


def _lane_count(chart: Chart) -> int:
    return min(MOST_LANES, len(chart.lanes))


def names(stand: Stand) -> list[str]:
    """Part names, the short ones where the long ones are too long."""
    return [
        part.abbreviation if len(part.name) > LONGEST_NAME and part.abbreviation else part.name
        for part in stand.score.parts
    ]


def gutter(stand: Stand) -> int:
    """Columns left of the first bar: mark, name, meter in force."""
    return 2 + _name_width(stand) + 1 + WIDTH + 1


def _name_width(stand: Stand) -> int:
    return max(6, min(LONGEST_NAME, max(len(name) for name in names(stand))))


def lines(sight: Sight) -> list[Line]:
    """Every line from the top: marks, numbers, printed numbers, conflicts, parts, the whole."""
    return [
        _marks(sight),
        _numbers(sight),
        *([_printed(sight)] if sight.chart.is_numbered_otherwise else []),
        *(_lane(sight, lane) for lane in range(_lane_count(sight.chart))),
        *(_part(sight, part) for part in sight.parts),
        _whole(sight),
    ]


def _margin(sight: Sight, text: str) -> tuple[str, str]:
    return fitted(f"  {text}", gutter(sight.stand) - 1) + " ", "quiet"


def _marks(sight: Sight) -> Line:
    there = len(sight.chart.cells)
    shown = f"{sight.parts.start + 1}–{sight.parts.stop} of {there}"
    told = f"parts {shown}" if len(sight.parts) < there else ""
    row = map_cells.mark_row(sight.chart.marks, sight.bars.start, len(sight.bars))
    return [_margin(sight, told), (row, "mine")]


def _numbers(sight: Sight) -> Line:
    line = [_margin(sight, "bar")]
    for number in sight.bars:
        chosen = number in sight.selection
        kind = "selected" if chosen else "number"
        text = map_cells.number_cell(str(number), is_selected=chosen)
        line += [(text[:-1], "cursor" if number == sight.bar else kind), (text[-1], kind)]
    return line


def _printed(sight: Sight) -> Line:
    labels = (sight.chart.labels[number - 1] for number in sight.bars)
    row = "".join(map_cells.number_cell(label, is_selected=False) for label in labels)
    return [_margin(sight, "printed"), (row, "quiet")]


def _lane(sight: Sight, lane: int) -> Line:
    shown = _lane_count(sight.chart)
    hidden = len(sight.chart.lanes) - shown
    told = "conflicts" if lane == 0 else ""
    if hidden and lane + 1 == shown:
        told = f"and {hidden} more"
    line = [_margin(sight, told)]
    at = sight.bars.start
    for conflict in sight.chart.lanes[lane]:
        first, end = max(conflict.first, sight.bars.start), min(conflict.last + 1, sight.bars.stop)
        if first < end:
            line += [(" " * ((first - at) * WIDTH), "quiet"), _bracket(sight, conflict, first, end)]
            at = end
    return line


def _bracket(sight: Sight, conflict: Conflict, first: int, end: int) -> tuple[str, str]:
    mine = any(sight.stand.choices.part in side.parts for side in conflict.sides)
    text = map_cells.conflict_bracket(
        conflict.against.replace(" against ", ":"),
        conflict.level,
        end - first,
        is_mine=mine,
        begins=first == conflict.first,
        ends=end == conflict.last + 1,
    )
    return text, "mine" if mine else "number"


def _part(sight: Sight, index: int) -> Line:
    row, part = sight.chart.cells[index], sight.stand.score.parts[index]
    is_mine = part.id == sight.stand.choices.part
    begin = row[sight.bars.start - 1]
    meter = "" if begin.shows_meter else begin.meter
    kind = "cursor" if index == sight.part else "mine" if is_mine else "number"
    line = [
        ("● " if is_mine else "  ", "mine"),
        (fitted(names(sight.stand)[index], _name_width(sight.stand)), kind),
        (f" {fitted(meter, WIDTH)} ", "meter"),
    ]
    for number in sight.bars:
        cell = row[number - 1]
        side, division = _side(sight.chart, part.id, number)
        kind = "meter" if cell.shows_meter else side
        is_here = number == sight.bar and index == sight.part
        text = map_cells.part_cell(cell, division)
        line += [(text[:-1], "cursor" if is_here else kind), (text[-1], kind)]
    return line


def _side(chart: Chart, part: str, number: int) -> tuple[str, int]:
    """On which side of the first conflict of a bar a part stands, and its division."""
    for conflict in chart.at.get(number, ())[:1]:
        for kind, side in zip(("more", "fewer"), conflict.sides, strict=True):
            if part in side.parts:
                return kind, side.division
    return "number", 0


def _whole(sight: Sight) -> Line:
    count = len(sight.chart.labels)
    if len(sight.bars) == count:
        return []
    width = len(sight.bars) * WIDTH - 1
    row = map_cells.whole_score(count, sight.chart.at.keys(), sight.bars, width)
    return [_margin(sight, "whole score"), (row, "quiet")]

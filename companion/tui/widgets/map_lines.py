"""The map line by line: what stands on each line, each piece with what kind of thing it is.

No styles and no widget here, so that a whole screen of the map can be tested as text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby, islice

from msgspec import Struct
from rich.cells import cell_len, set_cell_size

from companion.findings.conflicts import Conflict
from companion.session.open_score import OpenScore
from companion.session.score_chart import Chart, ChartCell, MapFinding, is_mine
from companion.wording.period_sentences import period_named
from companion.wording.score_sentences import conflict_label

MOST_FINDING_ROWS = 3
"""Rows of what pulls shown at most; the words below the map tell all of it."""
_LONGEST_NAME = 12
"""Columns for part names at most."""
KINDS = frozenset({"quiet", "number", "meter", "mine", "facing", "selected", "cursor"})
"""What kinds of things stand on the map."""

MapLine = list[tuple[str, str]]
"""Pieces of text, each with its kind."""


class MapView(Struct, frozen=True):
    """What of a map is in view, and what is pointed at."""

    open_score: OpenScore
    """The score."""
    chart: Chart
    """The same in columns."""
    bars: range
    """Ordinal positions of the bars in view."""
    parts: range
    """Indices of the parts in view."""
    bar: int
    """Ordinal position of the bar under the cursor."""
    part: int
    """Index of the part under the cursor."""
    selection: range
    """Ordinal positions of the selected bars; empty if none are."""


def lines_around(chart: Chart) -> int:
    """How many lines of a map are not parts: marks, numbers, what pulls, the whole score."""
    return 2 + _lane_count(chart) + 1


def _lane_count(chart: Chart) -> int:
    return min(MOST_FINDING_ROWS, len(chart.finding_rows))


def names(open_score: OpenScore) -> list[str]:
    """Part names, the short ones where the long ones are too long."""
    return [
        part.abbreviation if len(part.name) > _LONGEST_NAME and part.abbreviation else part.name
        for part in open_score.score.parts
    ]


def gutter(open_score: OpenScore) -> int:
    """Columns left of the first bar: mark, name, meter in force."""
    return 2 + _name_width(open_score) + 1 + WIDTH + 1


def _name_width(open_score: OpenScore) -> int:
    return max(6, min(_LONGEST_NAME, max(len(name) for name in names(open_score))))


def map_lines(view: MapView) -> list[MapLine]:
    """Every line from the top: marks, numbers, what pulls, parts, the whole."""
    return [
        _marks(view),
        _numbers(view),
        *(_lane(view, lane) for lane in range(_lane_count(view.chart))),
        *(_part(view, part) for part in view.parts),
        _whole(view),
    ]


def _margin(view: MapView, text: str) -> tuple[str, str]:
    return fitted(f"  {text}", gutter(view.open_score) - 1) + " ", "quiet"


def _marks(view: MapView) -> MapLine:
    there = len(view.chart.cells)
    shown = f"{view.parts.start + 1}–{view.parts.stop} of {there}"
    told = f"parts {shown}" if len(view.parts) < there else ""
    row = mark_row(view.chart.marks, view.bars.start, len(view.bars))
    return [_margin(view, told), (row, "mine")]


def _numbers(view: MapView) -> MapLine:
    line = [_margin(view, "bar")]
    for number in view.bars:
        chosen = number in view.selection
        kind = "selected" if chosen else "number"
        text = number_cell(view.chart.labels[number - 1], is_selected=chosen)
        line += [(text[:-1], "cursor" if number == view.bar else kind), (text[-1], kind)]
    return line


def _lane(view: MapView, lane: int) -> MapLine:
    shown = _lane_count(view.chart)
    hidden = len(view.chart.finding_rows) - shown
    told = "what pulls" if lane == 0 else ""
    if hidden and lane + 1 == shown:
        told = f"and {hidden} more"
    line = [_margin(view, told)]
    at = view.bars.start
    for one in view.chart.finding_rows[lane]:
        first, end = max(one.first, view.bars.start), min(one.last + 1, view.bars.stop)
        if first < end:
            line += [(" " * ((first - at) * WIDTH), "quiet"), _bracket(view, one, first, end)]
            at = end
    return line


def _bracket(view: MapView, one: MapFinding, first: int, end: int) -> tuple[str, str]:
    mine = is_mine(one, view.open_score.choices.part)
    text = bracket(
        *_named(one),
        end - first,
        is_mine=mine,
        begins=first == one.first,
        ends=end == one.last + 1,
    )
    return text, "mine" if mine else "number"


def _named(one: MapFinding) -> tuple[str, str]:
    """A short sign, and what follows it where there is room."""
    if not isinstance(one, Conflict):
        return period_named(one)
    return conflict_label(one), f" {one.level}"


def _part(view: MapView, index: int) -> MapLine:
    row, part = view.chart.cells[index], view.open_score.score.parts[index]
    is_mine = part.id == view.open_score.choices.part
    begin = row[view.bars.start - 1]
    meter = "" if begin.shows_meter else begin.meter
    kind = "cursor" if index == view.part else "mine" if is_mine else "number"
    line = [
        ("● " if is_mine else "  ", "mine"),
        (fitted(names(view.open_score)[index], _name_width(view.open_score)), kind),
        (f" {fitted(meter, WIDTH)} ", "meter"),
    ]
    for number in view.bars:
        cell = row[number - 1]
        side, division = _side(view, part.id, number)
        kind = "meter" if cell.shows_meter else side
        is_here = number == view.bar and index == view.part
        text = part_cell(cell, division)
        line += [(text[:-1], "cursor" if is_here else kind), (text[-1], kind)]
    return line


def _side(view: MapView, part: str, number: int) -> tuple[str, str]:
    """On which side of the first conflict that sounds in a bar a part stands, and its division;
    a dot for a dotted rhythm. My side is the one with more until a part on the other is mine."""
    here = (one for one in view.chart.at.get(number, ()) if isinstance(one, Conflict))
    for conflict in islice((one for one in here if not one.is_notated), 1):
        fewer = conflict.sides[1]
        kinds = ("mine", "facing")
        if view.open_score.choices.part in fewer.parts:
            kinds = ("facing", "mine")
        for kind, side in zip(kinds, conflict.sides, strict=True):
            if part in side.parts:
                is_dotted = conflict.is_dotted and side is fewer
                return kind, "." if is_dotted else str(side.division)
    return "number", ""


def _whole(view: MapView) -> MapLine:
    count = len(view.chart.labels)
    if len(view.bars) == count:
        return []
    width = len(view.bars) * WIDTH - 1
    signs = whole_score(count, view.chart.at, view.bars, width, view.open_score.choices.part)
    pieces = [
        ("".join(sign for sign, _ in run), kind)
        for kind, run in groupby(signs, key=lambda one: one[1])
    ]
    return [_margin(view, "whole score"), *pieces]


# The map in characters: five columns a bar, every state a shape, no colour needed.


WIDTH = 5
"""Columns of one bar; the last one stays free between bars."""

LEGEND = "━ plays  · rests  6/8 meter  ━3━ divides by 3  [3:2] pulls  ● my part"
"""What the shapes mean, in one line of 80 columns."""
KINDS_LEGEND = "▪ conflict  : dotted  ≈ hemiola  ≡ grouping  / off the beat  ▫ on the page only"
"""The signs in the line of the whole score."""


def part_cell(cell: ChartCell, division: str = "") -> str:
    """One part in one bar; `division` is its side's in a conflict, empty if it is on none."""
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
    width = WIDTH if label.startswith("@") else WIDTH - 1  # the sign parts it from the one before
    return _filled(fitted(label, width).rstrip(), WIDTH, fill)


def mark_row(marks: dict[int, str], first: int, count: int) -> str:
    """Rehearsal marks and movements above the bars `first` and on; long ones are cut."""
    row = ""
    inside = sorted(number for number in marks if first <= number < first + count)
    for number, following in zip(inside, [*inside[1:], first + count], strict=False):
        row = _filled(row, (number - first) * WIDTH, " ")
        row += fitted(marks[number], (following - number) * WIDTH - 1) + " "
    return _filled(row, count * WIDTH, " ")


def bracket(
    sign: str, more: str, bars: int, *, is_mine: bool, begins: bool = True, ends: bool = True
) -> str:
    """What pulls, over `bars` visible bars; ‹ or › where it goes on beyond the screen."""
    width = bars * WIDTH
    left, right = "[" if begins else "‹", "]" if ends else "›"
    label = sign + more if width >= len(sign + more) + 3 else sign
    fill = "━" if is_mine else "─"
    if len(label) + 2 > width:
        return fitted(label, width)
    return left + label.ljust(width - 2, fill) + right


def kind_sign(one: MapFinding) -> str:
    """What pulls, in one sign; a conflict that stands on the page alone has an empty one."""
    if isinstance(one, Conflict):
        return "▫" if one.is_notated else ":" if one.is_dotted else "▪"
    return {"hemiola": "≈", "grouping": "≡"}.get(one.kind, "/")


_GRAVEST = "▪:≈≡/▫"
"""If several pull in one column, the sign that stands first here is shown."""


def whole_score(
    bars: int,
    at: Mapping[int, Sequence[MapFinding]],
    window: range,
    width: int,
    me: str | None = None,
) -> list[tuple[str, str]]:
    """The whole score in one line, a sign a column with its kind: what pulls there, and [ ]
    around the bars on the screen. `me` is the id of my part."""
    row = []
    for column in range(width):
        begin = column * bars // width + 1
        end = max(begin + 1, (column + 1) * bars // width + 1)
        here = [(kind_sign(one), one) for number in range(begin, end) for one in at.get(number, ())]
        sign, one = min(here, key=lambda pair: _GRAVEST.index(pair[0]), default=("·", None))
        row.append((sign, "quiet" if one is None else "mine" if is_mine(one, me) else "number"))
    left = min((window.start - 1) * width // bars, width - 2)
    right = max(left + 1, (window.stop - 1) * width // bars - 1)
    row[left], row[right] = ("[", "quiet"), ("]", "quiet")
    return row


def _filled(text: str, width: int, fill: str) -> str:
    return text + fill * (width - cell_len(text))


def fitted(text: str, width: int) -> str:
    """Text in exactly `width` columns, with … where something was cut."""
    if cell_len(text) <= width:
        return set_cell_size(text, width)
    return set_cell_size(text, width - 1) + "…" if width > 1 else "…"[:width]

"""The score as a map in SVG: parts as rows, bars along, and where they pull, in words.

Read in print, without colour and by a screen reader: who pulls is told by two kinds of
hatching and by numbers, and all of it again as a sentence each.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeGuard

from companion.findings.conflicts import Conflict
from companion.publish.handout.lesson import Lesson
from companion.publish.svg import element, path, rect, text
from companion.session.open_score import OpenScore
from companion.session.score_chart import Chart, MapFinding, chart
from companion.wording.score_sentences import bar_span_told, conflict_label, conflict_told

A_LINE = 24
"""Bars in a line, so that the numbers can be read on upright paper."""
MOST_LINES = 6
"""Lines of a passage's map at most; of a long score its surroundings are shown."""

_LEFT, _CELL, _ROW, _HEAD, _LANE = 110, 28, 22, 30, 22
_INK, _PALE = "#1a1a1a", "#767676"
_WIDTH = _LEFT + A_LINE * _CELL + 6


def _pattern(name: str, drawn: str) -> str:
    return element("pattern", drawn, id=name, width=6, height=6, patternUnits="userSpaceOnUse")


PATTERNS = element(
    "svg",
    element(
        "defs",
        _pattern("more", path("M-1 1L1 -1M0 6L6 0M5 7L7 5", "#555")),
        _pattern("fewer", element("circle", cx=3, cy=3, r=1.1, fill="#555")),
    ),
    width=0,
    height=0,
    aria_hidden="true",
    focusable="false",
    style="position:absolute",
)
"""How the sides are told apart: once in a page, before the first map, drawn nowhere."""


@dataclass(frozen=True, slots=True)
class Map:
    """A picture and the same in sentences."""

    svg: str
    """An `svg` element."""
    sentences: tuple[str, ...]
    """One for each conflict that is shown."""
    shown: str
    """Which bars: `bars 1–61`."""
    is_whole: bool
    """Whether that is the whole score."""


def conflict_map(open_score: OpenScore, lesson: Lesson | None = None) -> Map:
    """The map of a score, with a passage marked in it."""
    first, last = _shown(open_score, lesson)
    conflicts = [one for one in open_score.conflicts if one.first <= last and one.last >= first]
    sentences = tuple(
        f"{_capital(bar_span_told(open_score, one.first, one.last))}: "
        f"{conflict_told(open_score, one)}."
        for one in conflicts
    )
    drawn = chart(open_score)
    pieces: list[str] = []
    height = 0
    for begin in range(first, last + 1, A_LINE):
        line = _Line(open_score, drawn, lesson, begin, min(begin + A_LINE - 1, last), height)
        pieces += line.drawn()
        height += line.height
    shown = bar_span_told(open_score, first, last)
    svg = element(
        "svg",
        *pieces,
        class_="map",
        role="img",
        aria_label=f"Map of {shown}: parts as rows, bars along. The list below says the same.",
        viewBox=f"0 0 {_WIDTH} {height}",
        font_family="sans-serif",
        fill=_INK,
    )
    is_whole = (first, last) == (1, len(open_score.clock.bars))
    return Map(svg, sentences, shown, is_whole)


def _shown(open_score: OpenScore, lesson: Lesson | None) -> tuple[int, int]:
    if lesson and lesson.target:
        return lesson.passage.first, lesson.passage.last
    bars, most = len(open_score.clock.bars), A_LINE * MOST_LINES
    if bars <= most or lesson is None:
        return 1, bars
    spare = most - (lesson.passage.last - lesson.passage.first + 1)
    first = min(max(1, lesson.passage.first - spare // 2), bars - most + 1)
    return first, first + most - 1


class _Line:
    """One line of the map."""

    def __init__(
        self,
        open_score: OpenScore,
        drawn: Chart,
        lesson: Lesson | None,
        first: int,
        last: int,
        top: int,
    ) -> None:
        self.open_score, self.chart, self.lesson = open_score, drawn, lesson
        self.first, self.last, self.top = first, last, top
        self.lanes = [
            found
            for lane in drawn.finding_rows
            if (found := [one for one in lane if self._is_shown(one)])
        ]
        self.has_own_barlines = not open_score.clock.barlines_coincide
        self.rows = top + _HEAD
        self.foot = self.rows + _ROW * len(drawn.cells)

    def _is_shown(self, one: MapFinding) -> TypeGuard[Conflict]:
        return isinstance(one, Conflict) and one.first <= self.last and one.last >= self.first

    @property
    def height(self) -> int:
        return _HEAD + _ROW * len(self.chart.cells) + _LANE * len(self.lanes) + 14

    def drawn(self) -> Iterator[str]:
        yield from self._numbers()
        for row in range(len(self.chart.cells)):
            yield from self._part(row)
        yield from self._passage()
        for number, lane in enumerate(self.lanes):
            for conflict in lane:
                yield from self._bracket(conflict, self.foot + _LANE * number)

    def _numbers(self) -> Iterator[str]:
        for bar in range(self.first, self.last + 1):
            x = self._x(bar)
            if bar in self.chart.marks:
                yield _text(x + 2, self.rows - 15, self.chart.marks[bar], size=11, bold=True)
            if bar == self.first or bar % 4 == 0:
                yield _text(x + 2, self.rows - 4, self.chart.labels[bar - 1], size=10)

    def _part(self, row: int) -> Iterator[str]:
        y = self.rows + _ROW * row
        part = self.open_score.score.parts[row]
        mine = self.lesson is not None and row == self.lesson.passage.part
        yield _text(_LEFT - 6, y + 15, _short(part.name), size=12, anchor="end", bold=mine)
        for bar in range(self.first, self.last + 1):
            cell, x = self.chart.cells[row][bar - 1], self._x(bar)
            fill, ink, width = ("#fff", _INK, 1) if cell.plays else ("none", _PALE, 0.4)
            outline = "none" if self.has_own_barlines else ink
            yield rect(x, y + 2, _CELL, _ROW - 4, fill=fill, stroke=outline, stroke_width=width)
            if side := self._side(part.id, bar):
                yield rect(x + 1, y + 3, _CELL - 2, _ROW - 6, fill=f"url(#{side})")
            if cell.shows_meter:
                yield _text(x + _CELL / 2, y + 15, cell.meter, size=11, anchor="middle", halo=True)
        if self.has_own_barlines:
            yield from self._own_barlines(row, y)

    def _own_barlines(self, row: int, y: int) -> Iterator[str]:
        """The barlines of a part that has its own, each at its moment in the bars above."""
        clock = self.open_score.clock
        moments = {at for place in clock.places[row] for at in (place.start, place.end)}
        yield rect(
            *(self._x(self.first), y + 2, _CELL * (self.last - self.first + 1), _ROW - 4),
            fill="none",
            stroke=_INK,
            stroke_width=1,
        )
        for bar in clock.bars[self.first - 1 : self.last]:
            for at in sorted(moment for moment in moments if bar.start <= moment < bar.end):
                share = float((at - bar.start) / (bar.end - bar.start))
                x = round(self._x(bar.number) + share * _CELL, 1)
                yield path(f"M{x} {y + 2}v{_ROW - 4}", _INK, 1)

    def _side(self, part: str, bar: int) -> str:
        for conflict in filter(self._is_shown, self.chart.at.get(bar, ())):
            for side, name in zip(conflict.sides, ("more", "fewer"), strict=True):
                if part in side.parts:
                    return name
        return ""

    def _passage(self) -> Iterator[str]:
        if self.lesson is None:
            return
        first = max(self.first, self.lesson.passage.first)
        last = min(self.last, self.lesson.passage.last)
        if first <= last:
            y = self.rows + _ROW * self.lesson.passage.part
            width = _CELL * (last - first + 1)
            yield rect(self._x(first), y, width, _ROW, fill="none", stroke=_INK, stroke_width=3)

    def _bracket(self, conflict: Conflict, y: int) -> Iterator[str]:
        first, last = max(conflict.first, self.first), min(conflict.last, self.last)
        x, end = self._x(first) + 1, self._x(last) + _CELL - 1
        yield path(f"M{x} {y + 1}v5H{end}v-5", _INK, 1.5)
        words = conflict_label(conflict, " against " if end - x > 80 else ":")
        yield _text((x + end) / 2, y + 18, words, size=11, anchor="middle")

    def _x(self, bar: int) -> int:
        return _LEFT + _CELL * (bar - self.first)


def _text(
    x: float,
    y: float,
    words: str,
    *,
    size: int,
    anchor: str | None = None,
    bold: bool = False,
    halo: bool = False,
) -> str:
    white: dict[str, str | float] = {"stroke": "#fff", "stroke_width": 4, "paint_order": "stroke"}
    weight = "bold" if bold else None
    return text(x, y, words, size, text_anchor=anchor, font_weight=weight, **white if halo else {})


def _short(name: str) -> str:
    return name if len(name) <= 15 else name[:14] + "…"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]

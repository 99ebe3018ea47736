"""Early and late along a passage, drawn with plain signs: a row for each side, in 80 columns."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby, pairwise
from math import ceil
from typing import TYPE_CHECKING

from companion.wording.phrases import BarNaming

if TYPE_CHECKING:
    from companion.listening.judgement import JudgedNote, Judgement

STRIP_LEGEND = "· in time  ‹ early  › late  « » by far  × left out  + put in  ? cannot tell"
EARLIER = ("last time", "time before")
"""The rows of attempts before this one, the newest first: fainter where it can be shown."""
_WIDTH = 79
_LABEL = 13
_MOST_LINES = 5
"""Lines of music at most: with three or four rows each they fit a screen of 24."""
_FINEST = 2
"""Columns from one note of a side to the next at least, if there is room."""
_GRAVEST = "·?‹›«»×+"
"""If two notes share a column, the sign that stands later here is shown."""


def timing_strip(
    judged: Judgement,
    name: BarNaming,
    earlier: Sequence[Judgement] = (),
    pulls: Callable[[int], str] | None = None,
) -> list[str]:
    """Lines for a screen: bar numbers, under them a sign for each note of each side, and a row
    for each of the newest attempts before, `earlier` in order of time. `pulls` names what pulls
    in a bar, an ordinal position, as the map does: `3:2`."""
    if not judged.notes or not judged.beats:
        return []
    lines = []
    for bars in _lines(judged):
        since, until = bars[0][0], bars[-1][1]
        scale = (_WIDTH - _LABEL - len(bars)) / max(_length(judged), until - since)
        column = _Columns(bars, scale)
        lines.append(("bar".ljust(_LABEL) + column.head(name)).rstrip())
        if pulls is not None and (row := column.brackets(pulls)).strip():
            lines.append(("what pulls".ljust(_LABEL) + row).rstrip())
        for label, signs in _rows(judged):
            row = column.row([(at, sign) for at, sign in signs if since <= at < until])
            if label or "+" in row:
                lines.append((label.ljust(_LABEL) + row).rstrip())
        for label, before in zip(EARLIER, reversed(earlier), strict=False):
            signs = [(at, sign) for at, sign in _as_then(judged, before) if since <= at < until]
            lines.append((label.ljust(_LABEL) + column.row(signs)).rstrip())
    return lines


def newest_line(strip: Sequence[str]) -> list[str]:
    """The rows of the last line of music."""
    last = max((n for n, line in enumerate(strip) if line.startswith("bar ")), default=0)
    return list(strip[last:])


def _as_then(judged: Judgement, before: Judgement) -> Iterator[tuple[float, str]]:
    """For each note its place now and its sign in an attempt before, the last time through."""
    sides = {side.name: side for side in before.sides}
    signs = {
        (one.note.position, one.note.quarters): _sign(
            one, sides[one.note.side].limit, sides[one.note.side].window
        )
        for one in before.notes
    }
    for one in judged.notes:
        sign = signs.get((one.note.position, one.note.quarters))
        if sign is not None:
            yield float(one.note.seconds), sign


_Bar = tuple[float, float, int]
"""Seconds from and to, and the ordinal."""


def _bars(judged: Judgement) -> list[_Bar]:
    """The bars in which a beat begins, time through after time through."""
    beats = judged.beats
    firsts = [beats[0]]
    for before, beat in pairwise(beats):
        if beat.position != before.position or beat.number <= before.number:
            firsts.append(beat)
    starts = [min(beat.seconds, 0.0) if n == 0 else beat.seconds for n, beat in enumerate(firsts)]
    ends = [*starts[1:], beats[-1].seconds + beats[-1].length]
    return [(at, end, beat.position) for at, end, beat in zip(starts, ends, firsts, strict=True)]


def _gap(judged: Judgement) -> float:
    """Seconds between neighbours of a side, at their closest."""
    gaps = [
        later - earlier
        for side in judged.sides
        for earlier, later in pairwise(
            float(one.note.seconds) for one in judged.notes if one.note.side == side.name
        )
        if later - earlier > 1e-3
    ]
    return min(gaps, default=1.0)


def _length(judged: Judgement) -> float:
    """Seconds of a line of music."""
    bars = _bars(judged)
    whole = bars[-1][1] - bars[0][0]
    room = _WIDTH - _LABEL - 8
    fitting = room * _gap(judged) / _FINEST
    longest = max(end - at for at, end, _ in bars)
    lines = min(_MOST_LINES, ceil(whole / max(fitting, longest)))
    return min(whole, whole / lines + longest / 2)


def _lines(judged: Judgement) -> Iterator[list[_Bar]]:
    """The bars, line by line."""
    length = _length(judged) + 1e-6
    line: list[_Bar] = []
    for bar in _bars(judged):
        if line and bar[1] - line[0][0] > length:
            yield line
            line = []
        line.append(bar)
    yield line


class _Columns:
    """A line of music: a barline before each bar, and time in between."""

    def __init__(self, bars: Sequence[_Bar], scale: float) -> None:
        self._bars, self._scale = bars, scale
        self._starts: list[int] = []
        at = 0
        for since, until, _ in bars:
            self._starts.append(at)
            at += 1 + max(1, round((until - since) * scale))
        self._width = at

    def head(self, name: BarNaming) -> str:
        """The numbers over the barlines, as far as they have room."""
        told = ""
        for start, (_, _, number) in zip(self._starts, self._bars, strict=True):
            word = _printed(number, name)
            if len(told) < start or not told:
                told = told.ljust(start) + word
        return told

    def brackets(self, pulls: Callable[[int], str]) -> str:
        """`[3:2━━━━]` over the bars in which it pulls."""
        told = ""
        ends = [*self._starts[1:], self._width]
        places = zip(self._starts, ends, self._bars, strict=True)
        for sign, run in groupby(places, key=lambda place: pulls(place[2][2])):
            stretch = list(run)
            start, end = stretch[0][0], stretch[-1][1]
            if sign:
                told = (
                    told.ljust(start) + f"[{sign[: end - start - 2].ljust(end - start - 2, '━')}]"
                )
        return told

    def row(self, signs: Sequence[tuple[float, str]]) -> str:
        """A sign for each note at its place."""
        cells = [" "] * (self._width + 1)
        for start in self._starts:
            cells[start] = "│"
        for at, sign in signs:
            n = max(n for n, bar in enumerate(self._bars) if bar[0] <= at)
            end = [*self._starts[1:], self._width][n] - 1
            place = min(end, self._starts[n] + 1 + int((at - self._bars[n][0]) * self._scale))
            if _GRAVEST.find(sign) > _GRAVEST.find(cells[place]):
                cells[place] = sign
        return "".join(cells)


def _printed(number: int, name: BarNaming) -> str:
    """A bar as the page prints it: `13`."""
    return name(number, number).removeprefix("bar ")


def _rows(judged: Judgement) -> Iterator[tuple[str, list[tuple[float, str]]]]:
    """For each side its name and its (seconds due, sign); last what was put in, without name."""
    for side in judged.sides:
        own = [one for one in judged.notes if one.note.side == side.name]
        yield (
            side.name,
            [(float(one.note.seconds), _sign(one, side.limit, side.window)) for one in own],
        )
    yield "", [(_due_at(judged, at), "+") for at in judged.added]


def _sign(one: JudgedNote, limit: float, window: float) -> str:
    if one.is_missed:
        return "×"
    if one.late is None or not one.is_certain:
        return "?"
    if abs(one.late) <= limit:
        return "·"
    if one.late < 0:
        return "«" if one.late < -window else "‹"
    return "»" if one.late > window else "›"


def _due_at(judged: Judgement, seconds: float) -> float:
    """Where on the page a moment of the take lies."""
    before = [one for one in judged.notes if one.begun_s is not None and one.begun_s <= seconds]
    near = before[-1] if before else judged.notes[0]
    return float(near.note.seconds) + (seconds - (near.begun_s or seconds))

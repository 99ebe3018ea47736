"""Barlines of one's own: parts whose bars differ in length, so that barlines rarely meet.

Here the unit is common and the bars are not (phrase level); parts whose barlines stand
together under different meters are conflicts (`conflicts.py`). Bars that fit each other,
such as two of 2/4 in one of 4/4, pull nowhere; bars of equal length that are shifted never
meet and have no period.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from math import gcd, lcm

from companion.rhythm.meter import Meter
from companion.score.texture import BarSpan, PartStream, Texture


@dataclass(frozen=True, slots=True)
class Polymeter:
    """A stretch in which two sides have bars of steady lengths that do not fit."""

    first: int
    last: int
    start: int
    end: int
    sides: tuple[tuple[str, ...], tuple[str, ...]]
    """Ids of the parts on each side, the side with longer bars first."""
    meters: tuple[Meter | None, Meter | None]
    ratio: tuple[int, int]
    """Lengths of the bars in lowest terms: (3, 2) for 3/4 beside 2/4."""
    meets_after: tuple[int, int]
    """How many of its own bars each side has from one common barline to the next, (2, 3) for
    3/4 beside 2/4; (0, 0) if barlines never meet."""


@dataclass(frozen=True, slots=True)
class _Steady:
    """Bars of one length and meter in a row."""

    start: int
    end: int
    length: int
    meter: Meter | None


def polymeters(texture: Texture) -> tuple[Polymeter, ...]:
    """Every stretch and pair of sides, in order of time."""
    sides: dict[tuple[BarSpan, ...], list[PartStream]] = {}
    for stream in texture.streams:
        if stream.own_bars:
            sides.setdefault(stream.own_bars, []).append(stream)
    if len(sides) < 2:
        return ()
    steady = {bars: _steady(streams[0]) for bars, streams in sides.items()}
    found = [
        _polymeter(texture, pair, (sides[a], sides[b]))
        for a, b in combinations(sides, 2)
        for pair in _overlapping(steady[a], steady[b])
        if not _fit(*pair)
    ]
    return tuple(sorted(found, key=lambda p: (p.start, p.end, p.sides)))


def _steady(stream: PartStream) -> list[_Steady]:
    found: list[_Steady] = []
    for bar, meter in zip(stream.own_bars, stream.own_meters, strict=True):
        before = found[-1] if found else None
        if before and (before.length, before.meter) == (bar.length, meter):
            found[-1] = _Steady(before.start, bar.end, bar.length, meter)
        elif bar.length:
            found.append(_Steady(bar.start, bar.end, bar.length, meter))
    return found


def _overlapping(a: list[_Steady], b: list[_Steady]) -> Iterator[tuple[_Steady, _Steady]]:
    """Pairs that sound together for at least one bar of each."""
    i = j = 0
    while i < len(a) and j < len(b):
        together = min(a[i].end, b[j].end) - max(a[i].start, b[j].start)
        if together >= max(a[i].length, b[j].length):
            yield a[i], b[j]
        if a[i].end <= b[j].end:
            i += 1
        else:
            j += 1


def _fit(a: _Steady, b: _Steady) -> bool:
    """Whether the longer bars are filled by whole shorter ones."""
    longer, shorter = max(a.length, b.length), min(a.length, b.length)
    return longer % shorter == 0 and (a.start - b.start) % shorter == 0


def _polymeter(
    texture: Texture,
    pair: tuple[_Steady, _Steady],
    streams: tuple[list[PartStream], list[PartStream]],
) -> Polymeter:
    start, end = max(one.start for one in pair), min(one.end for one in pair)
    order = (0, 1) if pair[0].length >= pair[1].length else (1, 0)
    long, short = (pair[index] for index in order)
    ratio = Fraction(long.length, short.length)
    period = lcm(long.length, short.length)
    meets = (long.start - short.start) % gcd(long.length, short.length) == 0
    return Polymeter(
        texture.bar_at(start).number,
        texture.bar_at(end - 1).number,
        start,
        end,
        (_ids(streams[order[0]]), _ids(streams[order[1]])),
        (long.meter, short.meter),
        (ratio.numerator, ratio.denominator),
        (period // long.length, period // short.length) if meets else (0, 0),
    )


def _ids(streams: list[PartStream]) -> tuple[str, ...]:
    return tuple(stream.part for stream in streams)

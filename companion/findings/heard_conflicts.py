"""What of a conflict is really struck: an arithmetic resultant is not yet a sound.

3 against 2 written as meters may sound as two plain beats while the threes rest. So the
strokes of the resultant are held against the notes: which are struck, by which side, where
both sides come together, and which notes of a player no one else's coincide with.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate
from math import lcm

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.rhythm.division import compared_beats
from companion.rhythm.meter import Meter
from companion.score.texture import PartStream, Texture

Span = tuple[int, int]
"""Start and length in grains of a beat or bar that both sides divide."""


@dataclass(frozen=True, slots=True)
class PartStrokes:
    """How much of what one part plays in the stretch falls alone."""

    part: str
    strokes: int
    alone: int
    """How many of these no other part of the score coincides with."""

    @property
    def share(self) -> Fraction:
        """Alone, of its strokes; 0 if it rests."""
        return Fraction(self.alone, self.strokes or 1)


@dataclass(frozen=True, slots=True)
class HeardConflict:
    """A conflict as it sounds."""

    spans: int
    """How many spans (beats or bars) the stretch has."""
    pulling: int
    """In how many of them each side strikes something off the other side's division."""
    strokes: tuple[tuple[Fraction, int], ...]
    """The resultant: each stroke's place, as a share of the span, and in how many spans it is
    struck."""
    parts: tuple[PartStrokes, ...]
    """Each part of both sides, those of the side with more notes first."""
    at: tuple[Span, ...] = ()
    """The spans the conflict sits in."""

    @property
    def filled(self) -> Fraction:
        """Share of the resultant's strokes in the whole stretch that somebody strikes."""
        struck = sum(count for _, count in self.strokes)
        return Fraction(struck, len(self.strokes) * self.spans or 1)

    def of(self, part: str) -> PartStrokes | None:
        """The facts of one part; None if it is on neither side."""
        return next((each for each in self.parts if each.part == part), None)


def heard_conflicts(conflicts: Iterable[Conflict], texture: Texture) -> Iterator[HeardConflict]:
    """The facts of each conflict in turn."""
    bars: dict[str, list[_FullBar | None]] = {}
    for conflict in conflicts:
        leader = _leader(conflict, texture)
        if leader.part not in bars:
            bars[leader.part] = _full_bars(leader)
        yield _heard(conflict, texture, bars[leader.part])


def _leader(conflict: Conflict, texture: Texture) -> PartStream:
    """A part whose beats the conflict counts."""
    streams = [texture.of(part) for side in conflict.sides for part in side.parts]
    meters = [stream.meters[conflict.first - 1] for stream in streams]
    beats = compared_beats(meter for meter in meters if meter)
    return streams[meters.index(beats)]


@dataclass(frozen=True, slots=True)
class _FullBar:
    """A bar as long as its meter wants it, begun before a pickup."""

    start: int
    length: int
    meter: Meter


def _full_bars(stream: PartStream) -> list[_FullBar | None]:
    """One for each own bar; None if unmeasured."""
    bars: dict[int, _FullBar] = {
        bar.number: _FullBar(bar.start - bar.lead, run.full, run.meter)
        for run in stream.runs
        for bar in run.bars
    }
    return [bars.get(bar.number) for bar in stream.own_bars]


def _spans(conflict: Conflict, bars: Sequence[_FullBar | None]) -> list[Span]:
    """Every span of the stretch."""
    spans = (_spans_of_bar(conflict.level, bar) for bar in bars[conflict.first - 1 : conflict.last])
    return [span for of_bar in spans for span in of_bar]


def _spans_of_bar(level: str, bar: _FullBar | None) -> list[Span]:
    if bar is None:
        return []
    if level == "bar":
        return [(bar.start, bar.length)]
    lengths = [round(bar.length * beat / bar.meter.length) for beat in bar.meter.beats]
    return list(zip(accumulate([bar.start, *lengths[:-1]]), lengths, strict=True))


def _sits_in(conflict: Conflict, bars: Sequence[_FullBar | None]) -> Iterator[Span]:
    """The spans of the beats that the conflict names; of all beats if it names none."""
    for number in range(conflict.first, conflict.last + 1):
        beats = conflict.beats_in(number) if conflict.level == "beat" else ()
        for beat, span in enumerate(_spans_of_bar(conflict.level, bars[number - 1]), 1):
            if not beats or beat in beats:
                yield span


def _heard(conflict: Conflict, texture: Texture, bars: Sequence[_FullBar | None]) -> HeardConflict:
    first, last = texture.bars[conflict.first - 1].start, texture.bars[conflict.last - 1].end
    more, fewer = (_strikes(texture, side, first, last) for side in conflict.sides)
    # A span is laid out in so many cells that every cut of either side falls on one: six for
    # 3 against 2. `own` and `other` are the cells of the side with more and with fewer notes.
    cuts = [set(side.cuts) for side in conflict.sides]
    cells = lcm(*(cut.denominator for one in cuts for cut in one))
    own, other = ({int(cut * cells) for cut in one} for one in cuts)
    struck: Counter[int] = Counter()
    pulling = 0
    spans = _spans(conflict, bars)
    for start, length in spans:
        mine = _cells(more, start, length, cells)
        theirs = _cells(fewer, start, length, cells)
        struck.update(mine | theirs)
        # Each side must leave the other's grid: threes that only strike the beat do not pull.
        pulling += bool(mine - other) and bool(theirs - own)
    return HeardConflict(
        len(spans),
        pulling,
        tuple((place, struck[int(place * cells)]) for place in sorted(cuts[0] | cuts[1])),
        tuple(_part_strokes(texture, conflict, first, last)),
        tuple(_sits_in(conflict, bars)),
    )


def _strikes(texture: Texture, side: Side, first: int, last: int) -> list[int]:
    return sorted(
        {at for part in side.parts for at in texture.of(part).strikes_between(first, last)}
    )


def _cells(strikes: Sequence[int], start: int, length: int, cells: int) -> set[int]:
    """The cells of the common grid on which something is struck in the span."""
    inside = strikes[bisect_left(strikes, start) : bisect_left(strikes, start + length)]
    return {(at - start) * cells // length for at in inside if (at - start) * cells % length == 0}


def _part_strokes(
    texture: Texture, conflict: Conflict, first: int, last: int
) -> Iterator[PartStrokes]:
    # How many parts strike at each moment, parts on neither side included.
    everybody = Counter(
        at for stream in texture.streams for at in stream.strikes_between(first, last)
    )
    for side in conflict.sides:
        for part in side.parts:
            strikes = texture.of(part).strikes_between(first, last)
            yield PartStrokes(part, len(strikes), sum(everybody[at] == 1 for at in strikes))

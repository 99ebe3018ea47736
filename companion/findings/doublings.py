"""Who has my line, who has my rhythm, who has my meter.

Two parts have the same line if, note after note, they strike together and with the same
name of note, in unison or octaves apart: to be tuned together. The highest note of each
strike counts as the line. They share a rhythm if they strike together whatever they play.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby
from typing import NamedTuple

from companion.score.texture import PartStream, Sound, Texture

_FEWEST = 6
"""Notes of the shortest doubled line; at least three of its pitches must differ."""
FEWEST_STRIKES = 4
"""Strikes that a rhythm must have before it is said to be shared."""


@dataclass(frozen=True, slots=True)
class Doubling:
    """A line that several parts play."""

    first: int
    last: int
    start: int
    end: int
    """Grain at which the last note stops."""
    parts: tuple[str, ...]
    notes: int
    is_unison: bool
    """Whether all play at the same pitch throughout; else in octaves."""


@dataclass(frozen=True, slots=True)
class SharedRhythm:
    """Whole bars in which several parts strike together and never apart."""

    first: int
    last: int
    parts: tuple[str, ...]
    strikes: int


def doublings(texture: Texture) -> tuple[Doubling, ...]:
    """Every doubled line, with as many parts as have it for as long as all of them do."""
    streams = texture.streams
    openings = [bars[0].start for bars in texture.movements]
    stretches: dict[Pair, list[BarStretch]] = {
        (a, b): list(_in_octaves(streams[a], streams[b], openings))
        for a, b in combinations(range(len(streams)), 2)
    }
    found: list[Doubling] = []
    for start, end, parts in groups(stretches):
        made = _doubling(start, end, [streams[part] for part in parts])
        if made:
            found.append(made)
    return tuple(found)


def _in_octaves(
    one: PartStream, other: PartStream, openings: Sequence[int]
) -> Iterator[BarStretch]:
    """From strike to strike (the end one grain after the last) where two lines agree, movement
    by movement; `openings` are the grains at which movements begin."""
    mine = {sound.at: sound.pitch for sound in one.melody}
    theirs = {sound.at: sound.pitch for sound in other.melody}
    strikes = sorted(mine.keys() | theirs.keys())

    def agreement(at: int) -> tuple[bool, int]:
        return _agree(mine.get(at), theirs.get(at)), bisect_right(openings, at)

    for (agrees, _), same in groupby(strikes, key=agreement):
        if agrees:
            run = list(same)
            if len(run) >= _FEWEST:
                yield run[0], run[-1] + 1


def _agree(pitch: int | None, other: int | None) -> bool:
    return pitch is not None and other is not None and (pitch - other) % 12 == 0


def _doubling(start: int, end: int, streams: Sequence[PartStream]) -> Doubling | None:
    lines = [
        stream.melody[bisect_left(stream.strikes, start) : bisect_left(stream.strikes, end)]
        for stream in streams
    ]
    top = lines[0]
    if len(top) < _FEWEST or len({sound.pitch for sound in top}) < 3:
        return None
    return Doubling(
        top[0].bar,
        top[-1].bar,
        start,
        max(line[-1].end for line in lines),
        tuple(stream.part for stream in streams),
        len(top),
        all(_pitches(line) == _pitches(top) for line in lines),
    )


def _pitches(line: Sequence[Sound]) -> list[int | None]:
    return [sound.pitch for sound in line]


def shared_rhythms(texture: Texture) -> tuple[SharedRhythm, ...]:
    """Every stretch of bars in which several parts have the same strikes, and some in each bar."""
    streams = texture.streams
    struck = [
        [stream.strikes_between(bar.start, bar.end) for bar in texture.bars] for stream in streams
    ]
    movements = [bar.movement for bar in texture.bars]
    stretches: dict[Pair, list[BarStretch]] = {
        (a, b): list(_alike(struck[a], struck[b], movements))
        for a, b in combinations(range(len(streams)), 2)
    }
    found: list[SharedRhythm] = []
    for start, end, parts in groups(stretches):
        strikes = sum(map(len, struck[parts[0]][start:end]))
        if strikes >= FEWEST_STRIKES:
            ids = tuple(streams[part].part for part in parts)
            found.append(SharedRhythm(start + 1, end, ids, strikes))
    return tuple(found)


def _alike(
    one: Sequence[tuple[int, ...]], other: Sequence[tuple[int, ...]], movements: Sequence[int]
) -> Iterator[BarStretch]:
    """Stretches of bars of one movement in which both strike, and at the same places."""
    at = 0
    holds = ((x == y != (), movement) for x, y, movement in zip(one, other, movements, strict=True))
    for (is_so, _), same in groupby(holds):
        length = sum(1 for _ in same)
        if is_so:
            yield at, at + length
        at += length


# Who goes together for how long, from what holds between two parts at a time.


Pair = tuple[int, int]
"""Two parts by their places on the page, the upper first."""
BarStretch = tuple[int, int]
"""From and up to, in whatever unit the caller counts; the end not included."""


class Group(NamedTuple):
    """Parts that go together."""

    start: int
    """Where all of them begin to."""
    end: int
    """Where the first of them leaves."""
    parts: tuple[int, ...]
    """Their places on the page."""


class _Tie(NamedTuple):
    start: int
    end: int
    pair: Pair


def groups(stretches: Mapping[Pair, Iterable[BarStretch]]) -> Iterator[Group]:
    """Every group as large as it is for as long as it is, in order of time.

    What holds between A and B and between B and C must hold between A and C; a pair's
    stretches must not overlap.
    """
    ties = sorted(_Tie(*stretch, pair) for pair, all_of in stretches.items() for stretch in all_of)
    open_now: list[_Tie] = []
    for start, beginning in groupby(ties, key=lambda tie: tie.start):
        open_now = [tie for tie in open_now if tie.end > start] + list(beginning)
        found = {
            group
            for end in {tie.end for tie in open_now}
            for group in _closed(open_now, start, end)
        }
        yield from sorted(found)


def _closed(ties: Iterable[_Tie], start: int, end: int) -> Iterator[Group]:
    """Groups that hold exactly from `start` to `end`."""
    covering = [tie for tie in ties if tie.end >= end]
    parts: dict[int, set[int]] = {}
    for tie in covering:
        a, b = tie.pair
        joined = parts.get(a, {a}) | parts.get(b, {b})
        parts |= dict.fromkeys(joined, joined)
    for group in {tuple(sorted(of_part)) for of_part in parts.values()}:
        within = [tie for tie in covering if tie.pair[0] in group]
        begins = max(tie.start for tie in within) == start
        if begins and min(tie.end for tie in within) == end:
            yield Group(start, end, group)

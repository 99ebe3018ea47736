"""Who goes together for how long, from what holds between two parts at a time.

Pair by pair the facts repeat themselves (four parts in octaves are six pairs); what a
player wants is one line: all who go together, as long as all of them do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from typing import NamedTuple

Pair = tuple[int, int]
"""Two parts by their places on the page, the upper first."""
Stretch = tuple[int, int]
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


def groups(stretches: Mapping[Pair, Iterable[Stretch]]) -> Iterator[Group]:
    """Every group as large as it is for as long as it is, in order of time.

    What holds between A and B and between B and C must hold between A and C; a pair's
    stretches must not touch each other.
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

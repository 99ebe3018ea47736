"""Which bar of an earlier edition of a score is which bar of a later one.

Plain and complete in itself, so that it travels with the log from machine to machine:
without it what was practised from the earlier edition would stand next to the later one.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import msgspec


class PartCarry(msgspec.Struct, frozen=True):
    """One part of an earlier edition in the later one."""

    part: str
    """Its id there."""
    name: str
    """Its printed name there."""
    places: tuple[int, ...]
    """For each bar of the earlier edition the same bar of the later one, from 1; 0: none."""


class Edition(msgspec.Struct, frozen=True):
    """A later edition of one earlier score."""

    old: str
    """Digest of the earlier edition."""
    new: str
    """Digest of the later one."""
    title: str
    """As the later one names itself."""
    path: str
    """Where the later one lay."""
    names: tuple[str, ...]
    """How each bar of the later one is shown to a player."""
    parts: dict[str, PartCarry]
    """By the part's id in the earlier edition; parts that are not in the later one are left out."""
    at: datetime | None = None
    """When this was said, with its offset; None before that was kept."""
    is_undone: bool = False
    """Whether it was taken back: kept, so that another machine hears of it too."""


def is_later(edition: Edition, other: Edition) -> bool:
    """Whether what is said of an earlier edition was said after the other."""
    return edition.at is not None and (other.at is None or edition.at > other.at)


def faults_of_edition(edition: Edition) -> Iterator[str]:
    """What is wrong with an edition that came from elsewhere; its digests become file names."""
    for digest in (edition.old, edition.new):
        if not re.fullmatch("[0-9a-f]+", digest):
            yield f"“{digest[:40]}” is not a digest in hex"
    if edition.at is not None and edition.at.tzinfo is None:
        yield f"{edition.at} has no UTC offset"
    bars = len(edition.names)
    if any(not 0 <= place <= bars for part in edition.parts.values() for place in part.places):
        yield "a bar went to one that is not there"


# Passages carried from one edition of a score to the next, by matching the music.


LEAST_SHARE = 2
"""One bar in so many must be found again for a passage to be carried."""


@dataclass(frozen=True, slots=True)
class Carried:
    """Where a passage went."""

    first: int
    """Ordinal position of its first bar in the new edition."""
    last: int
    """Ordinal position of its last bar there."""
    changed: tuple[int, ...]
    """Bars of the old edition in it that are not the same in the new one."""


@dataclass(frozen=True, slots=True)
class _Link:
    """A pair of like bars, and the best chain of pairs before it."""

    old: int
    new: int
    before: _Link | None


def matched(old: Sequence[Hashable], new: Sequence[Hashable]) -> tuple[int, ...]:
    """For each bar of the old edition the same bar of the new one, counted from 1; else 0.

    A longest common subsequence (Hunt & Szymanski, Comm. ACM 20, 1977, 350–353), after the
    like bars at both ends have been paired off.
    """
    front = 0
    while front < min(len(old), len(new)) and old[front] == new[front]:
        front += 1
    back = 0
    while back < min(len(old), len(new)) - front and old[-1 - back] == new[-1 - back]:
        back += 1
    found = [*range(1, front + 1), *[0] * (len(old) - front)]
    for one, other in _common(old[front : len(old) - back], new[front : len(new) - back]):
        found[front + one] = front + other + 1
    for number in range(back):
        found[len(old) - 1 - number] = len(new) - number
    return tuple(found)


def _common(old: Sequence[Hashable], new: Sequence[Hashable]) -> list[tuple[int, int]]:
    """Pairs of places of a longest common subsequence."""
    places: dict[Hashable, list[int]] = {}
    for index, bar in enumerate(new):
        places.setdefault(bar, []).append(index)
    ends: list[int] = []
    links: list[_Link] = []
    for index, bar in enumerate(old):
        for place in reversed(places.get(bar, ())):
            at = bisect_left(ends, place)
            before = links[at - 1] if at else None
            ends[at : at + 1], links[at : at + 1] = [place], [_Link(index, place, before)]
    pairs = []
    link = links[-1] if links else None
    while link is not None:
        pairs.append((link.old, link.new))
        link = link.before
    return pairs[::-1]


def carried(first: int, last: int, places: Sequence[int]) -> Carried | None:
    """Where bars `first` to `last` went, given `matched`; None if that cannot be told.

    At least half of the bars must be found, and the bars at both ends, or a neighbour that
    says where they would be.
    """
    inside = range(first, min(last, len(places)) + 1)
    changed = tuple(bar for bar in inside if not places[bar - 1])
    if not inside or LEAST_SHARE * len(changed) > len(inside) or last > len(places):
        return None
    begin, end = _begin(first, last, places), _end(first, last, places)
    return Carried(begin, end, changed) if 1 <= begin <= end else None


def _begin(first: int, last: int, places: Sequence[int]) -> int:
    """Where the first bar is, or would be: after the one before, else as far before the next."""
    if places[first - 1]:
        return places[first - 1]
    if first > 1 and places[first - 2]:
        return places[first - 2] + 1
    bar = next(bar for bar in range(first, last + 1) if places[bar - 1])
    return places[bar - 1] - (bar - first)


def _end(first: int, last: int, places: Sequence[int]) -> int:
    """Where the last bar is, or would be: before the one after, else as far after the last."""
    if places[last - 1]:
        return places[last - 1]
    if last < len(places) and places[last]:
        return places[last] - 1
    bar = next(bar for bar in range(last, first - 1, -1) if places[bar - 1])
    return places[bar - 1] + (last - bar)

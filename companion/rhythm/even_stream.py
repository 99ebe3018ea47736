"""Evenly spaced strikes that several parts make together, and who strikes which.

A stream is looked for in the strikes of a whole set at once: looking part by part, every
one of them seems full of rests and nobody seems to have the rhythm that all hear.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise
from operator import sub
from typing import NamedTuple

CONTINUOUS = 6
"""Pulses in a row after which a part is a stream of its own."""
SILENCE = 8
"""Pulses within which every part must have one to itself."""
FEWEST = 6
"""Pulses of the shortest stretch."""

Struck = Sequence[Sequence[int]]
"""For each part of a set, the grains of its strikes in order."""


class Run(NamedTuple):
    """Strikes of a set that are equally far apart, as long as that lasts."""

    at: int
    """Grain of the first pulse."""
    pulse: int
    """Grains from one to the next."""
    owners: tuple[int, ...]
    """Who strikes each pulse: bit 0 for the first part of the set, bit 1 for the second …"""


def even_runs(struck: Struck) -> Iterator[Run]:
    """Every run of at least `FEWEST` pulses to which every part gives at least two."""
    merged = sorted(set().union(*struck))
    at = 0
    for pulse, same in groupby(map(sub, merged[1:], merged)):
        count = sum(1 for _ in same)
        if count + 1 >= FEWEST:
            pulses = merged[at : at + count + 1]
            owners = _owners(struck, pulses)
            if owners:
                yield Run(pulses[0], pulse, owners)
        at += count


def _owners(struck: Struck, pulses: Sequence[int]) -> tuple[int, ...]:
    owners = dict.fromkeys(pulses, 0)
    for index, strikes in enumerate(struck):
        low, high = bisect_left(strikes, pulses[0]), bisect_right(strikes, pulses[-1])
        if high - low < 2:
            return ()
        for at in strikes[low:high]:
            owners[at] |= 1 << index
    return tuple(owners.values())


def is_alone(owner: int) -> bool:
    """Whether a single part strikes the pulse."""
    return not owner & (owner - 1)


def shared_out(owners: Sequence[int], size: int) -> Iterator[tuple[int, int]]:
    """Stretches (first pulse, one past the last) that really go from hand to hand.

    Cut away first: pulses of a part that strikes `CONTINUOUS` in a row, pulses between two
    sole strikes of a part more than `SILENCE` apart, and two or more joint strikes in a row.
    What is left is trimmed to the turn before its first hand-off and the one after its last.
    """
    cut = bytearray(len(owners))
    for index in range(size):
        _cut_for_one(owners, 1 << index, cut)
    for place, (a, b) in enumerate(pairwise(owners)):
        if not is_alone(a) and not is_alone(b):
            cut[place] = cut[place + 1] = 1
    at = 0
    for is_cut, same in groupby(cut):
        length = sum(1 for _ in same)
        if not is_cut and length >= FEWEST:
            yield from _from_turn_to_turn(owners, at, at + length)
        at += length


def _cut_for_one(owners: Sequence[int], part: int, cut: bytearray) -> None:
    places = [place for place, owner in enumerate(owners) if owner & part]
    for a, b in zip(places, places[CONTINUOUS - 1 :], strict=False):
        if b - a == CONTINUOUS - 1:
            cut[a : b + 1] = b"\1" * CONTINUOUS
    sole = [place for place in places if owners[place] == part]
    for a, b in pairwise([-1, *sole, len(owners)]):
        if b - a > SILENCE:
            cut[a + 1 : b] = b"\1" * (b - a - 1)


def _from_turn_to_turn(owners: Sequence[int], first: int, last: int) -> Iterator[tuple[int, int]]:
    handed = [
        place
        for place in range(first, last - 1)
        if owners[place] != owners[place + 1]
        and is_alone(owners[place])
        and is_alone(owners[place + 1])
    ]
    if not handed:
        return
    low, high = handed[0], handed[-1] + 1
    while low > first and owners[low - 1] == owners[low]:
        low -= 1
    while high + 1 < last and owners[high + 1] == owners[high]:
        high += 1
    yield low, high + 1


def is_mostly_exclusive(owners: Sequence[int], size: int) -> bool:
    """Whether it is long enough, at most one pulse in eight is struck by several parts, and
    everybody takes at least two turns."""
    shared = sum(1 for owner in owners if not is_alone(owner))
    turns = [owner for owner, _ in groupby(owners)]
    return (
        len(owners) >= FEWEST
        and 8 * shared <= len(owners)
        and all(turns.count(1 << index) >= 2 for index in range(size))
    )

"""The study sheet: the few most useful sentences for one part, in order of use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from companion.desk.stand import Stand
from companion.desk.study.advice import Advice, Topic
from companion.desk.study.advising import advise
from companion.desk.study.counts import Count, counts
from companion.desk.study.findings import find

MOST = {
    Topic.FORM: 3,
    Topic.CONFLICT: 4,
    Topic.GROUPING: 2,
    Topic.HEMIOLA: 2,
    Topic.BARLINES: 1,
    Topic.FEEL: 3,
    Topic.INTERLOCK: 2,
    Topic.ENTRANCE: 3,
    Topic.HANDED_ON: 2,
    Topic.RHYTHM: 1,
    Topic.DOUBLING: 2,
}
"""How many sentences of each kind a sheet has at most: a player reads a page, not a list."""

COUNTED_BARS = 16
"""Bars that a study of named bars counts aloud at most."""


@dataclass(frozen=True, slots=True)
class Study:
    """The score explained to the player of one part."""

    part_id: str
    """The part's id."""
    part_name: str
    """The part's printed name."""
    first: int
    """Ordinal position of the first bar studied."""
    last: int
    """Ordinal position of the last bar studied."""
    everything: tuple[Advice, ...]
    """All that was found, in order of use, then of bars."""
    sheet: tuple[Advice, ...]
    """The few most useful of it."""
    counts: tuple[Count, ...]
    """How to count each bar aloud, where single bars were asked for."""


def study(stand: Stand, part: int, span: tuple[int, int] | None = None) -> Study:
    """Explain a score, or some bars of it, to the player of one part."""
    first, last = span or (1, len(stand.clock.bars))
    found = tuple(
        each
        for each in advise(stand, find(stand), part)
        if each.first <= last and each.last >= first
    )
    counted = range(first, min(last, first + COUNTED_BARS - 1) + 1) if span else range(0)
    return Study(
        stand.score.parts[part].id,
        stand.score.parts[part].name,
        first,
        last,
        found,
        few(found),
        tuple(counts(stand, part, counted)),
    )


def few(found: Sequence[Advice]) -> tuple[Advice, ...]:
    """The weightiest of each kind, in the order they were given."""
    kept: list[Advice] = []
    for topic, most in MOST.items():
        kind = [each for each in found if each.topic is topic]
        kept += sorted(kind, key=lambda each: (-each.weight, each.first))[:most]
    return tuple(each for each in found if any(each is one for one in kept))

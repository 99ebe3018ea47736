"""From a place in one part to the same moment in another, over the shared clock.

The second dotted quarter of a bar in 6/8 is the second quarter of a bar in 2/4: counting
both in quarters would put it half a quarter late.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction

from companion.score.clock import BarPlace, Clock


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the player's part."""

    bar: int
    """Index of its own bar, from 0."""
    at: Fraction
    """Quarters after the left barline, as that part writes them."""
    is_end: bool = False
    """Whether it is the right barline of that bar."""


def cross(clock: Clock, source: int, target: int, bar: int, at: Fraction) -> Place | None:
    """Where a place of the source part lies in the target part; None where that is silent.

    A place at the right barline stays at a right barline, as `da capo` does.
    """
    place = clock.places[source][bar]
    moment = place.start + at * place.pace
    is_end = at > 0 and moment >= place.end
    own = _bar(clock, target, bar, moment, is_end=is_end)
    if own is None:
        return None
    there = clock.places[target][own]
    quarters = (moment - there.start) / there.pace
    length = there.length / there.pace
    if is_end and quarters >= length:
        return Place(own, length, True)
    return Place(own, min(max(quarters, Fraction(0)), length))


def _bar(clock: Clock, target: int, bar: int, moment: Fraction, *, is_end: bool) -> int | None:
    places = clock.places[target]
    if not places:
        return None
    if clock.barlines_coincide:
        return bar if bar < len(places) else None
    own = clock.own_bar_at(target, moment)
    if is_end and own and places[own].start == moment:
        return own - 1
    return None if moment > places[own].end else own


def length_in_quarters(place: BarPlace) -> Fraction:
    """A bar's length in the quarters its part writes."""
    return place.length / place.pace


def movement_at(clock: Clock, part: int, bar: int) -> int:
    """Which movement a part's own bar belongs to, from 1."""
    if clock.barlines_coincide:
        return clock.bars[bar].movement
    start = clock.places[part][bar].start
    index = bisect_right(clock.bars, start, key=lambda bar: bar.start) - 1
    return clock.bars[max(0, index)].movement

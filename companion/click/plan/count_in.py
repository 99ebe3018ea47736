"""The count-in: bars of nothing but beats before the player enters.

It is counted in the meter of a part's first bar, the player's own or one of the other
side. Before a pickup it has so many full bars and then the beats that are missing before
the pickup, so that the player enters on the beat where the first note really stands. A
count-in that simply stopped at a full bar would make every upbeat enter as a downbeat.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from companion.click.plan.beats import Beat, beats, full_start, own_bars
from companion.rhythm.meter import Meter
from companion.score.clock import BarPlace
from companion.score.passage import Passage

UNMEASURED_BAR = 4
"""Quarters in a bar of count-in where the part has no meter."""


@dataclass(frozen=True, slots=True)
class CountIn:
    """A count-in, in clock time from its own start."""

    length: Fraction
    """Until the passage begins."""
    beats: tuple[Beat, ...]
    """Its beats in order; those at or after `length` belong to the passage."""
    full: Fraction = Fraction(0)
    """Clock time of one of its full bars."""
    pace: Fraction = Fraction(1)
    """Clock time of one written quarter in it."""
    meter: Meter | None = None
    """What is counted; None if unmeasured."""


_NONE = CountIn(Fraction(0), ())


def count_in_for(passage: Passage, bars: int, part: int | None = None) -> CountIn:
    """So many full bars of count-in, and the beats missing before the passage.

    `part` is the one whose meter is counted, by its index; the player's own where None.
    """
    counted_in = passage if part is None else replace(passage, part=part)
    places = own_bars(counted_in) if passage.clock.places[counted_in.part] else ()
    if not bars or not places:
        return _NONE
    place = places[0]
    full = full_bar(place)
    missing = passage.start - full_start(place)
    counted: list[Beat] = []
    for number in range(bars):
        counted += beats(_bar(place, full * number, full))
    if missing:
        counted += beats(_bar(place, full * bars, missing))
    length = full * bars + missing
    return CountIn(length, tuple(counted), full, place.pace, place.meter)


def full_bar(place: BarPlace) -> Fraction:
    """Clock time of one full bar of a place's meter."""
    return place.pace * (place.meter.length if place.meter else UNMEASURED_BAR)


def _bar(place: BarPlace, start: Fraction, length: Fraction) -> BarPlace:
    return BarPlace(start, length, place.pace, Fraction(0), place.meter)

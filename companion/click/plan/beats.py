"""Where the beats, pulses and equal cuts of a bar fall on the shared clock.

Everything is counted from where the *full* bar begins, which lies before the barline
in a pickup. Counting from the pickup's first note instead would put every stroke of
it on the wrong beat and an accent on an upbeat.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from enum import IntEnum
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate, count, cycle, takewhile

from companion.rhythm.meter import Meter
from companion.score.clock import BarPlace, Clock
from companion.score.passage import Passage


class Weight(IntEnum):
    """How much a stroke stands out among those of its layer."""

    PLAIN = 0
    """As any other."""
    GROUP = 1
    """It begins a group of an additive meter."""
    FIRST = 2
    """It is the first of a bar, or both sides of a conflict meet on it."""


@dataclass(frozen=True, slots=True)
class Beat:
    """One felt beat of a part's own bar."""

    at: Fraction
    """Clock time at which it begins."""
    length: Fraction
    """Clock time until the next."""
    division: int
    """Into how many pulses it naturally falls."""
    is_first: bool
    """Whether it is the first of a bar."""
    weight: Weight = Weight.PLAIN
    """How it stands out among beats: a group stands out where groups have several beats."""
    pulse_weight: Weight = Weight.PLAIN
    """How its first pulse stands out among pulses: every group does."""

    def cuts(self, division: int) -> Iterator[Fraction]:
        """Clock times of so many equal pieces of it."""
        return (self.at + self.length * k / division for k in range(division))


UNMEASURED = Meter("unmeasured", (Fraction(1),), (2,), Fraction(1))
"""What is counted where there is no meter: quarters, each in two."""

_PAIR = re.compile(r"([\d+]+)/(\d+)")


def full_start(place: BarPlace) -> Fraction:
    """Clock time at which the full bar would have begun."""
    return place.start - place.lead


def beats(place: BarPlace) -> Iterator[Beat]:
    """The beats of one bar, from where the full bar would begin to its right barline.

    A bar written longer than its meter goes on counting, without a second first beat;
    so does an unmeasured one.
    """
    meter = place.meter or UNMEASURED
    groups = group_starts(meter)
    within = groups if 1 + len(groups) < len(meter.beats) else frozenset[int]()
    at = full_start(place)
    for number, (length, division) in enumerate(
        cycle(zip(meter.beats, meter.divisions, strict=True))
    ):
        if at >= place.end:
            return
        weights = (_weight(number, within), _weight(number, groups))
        yield Beat(at, length * place.pace, division, number == 0, *weights)
        at += length * place.pace


def _weight(number: int, groups: Collection[int]) -> Weight:
    if not number:
        return Weight.FIRST
    return Weight.GROUP if number in groups else Weight.PLAIN


@lru_cache(maxsize=512)
def group_starts(meter: Meter) -> frozenset[int]:
    """The beats, from 0, on which a written group begins, without the first of the bar.

    3+2/4 has one on its fourth beat, 3/8+2/4 on its second; 6/8 has none, for none is written.
    """
    groups = [
        Fraction(4 * int(top), int(bottom))
        for tops, bottom in _PAIR.findall(meter.text)
        for top in tops.strip("+").split("+")
    ]
    starts = set(accumulate(groups[:-1]))
    at = [Fraction(0), *accumulate(meter.beats)]
    return frozenset(number for number, begin in enumerate(at) if begin in starts)


def is_inside(place: BarPlace, numbers: Collection[int], at: Fraction) -> bool:
    """Whether a clock time lies in one of the bar's beats with these numbers, from 1.

    Without numbers every beat is meant.
    """
    if not numbers:
        return True
    return any(
        beat.at <= at < beat.at + beat.length
        for number, beat in enumerate(beats(place), 1)
        if number in numbers
    )


def beat_cuts(place: BarPlace, shares: Collection[Fraction]) -> set[Fraction]:
    """Clock times inside the bar at these shares of every beat."""
    cuts = (beat.at + beat.length * share for beat in beats(place) for share in shares)
    return {at for at in cuts if place.start <= at < place.end}


def bar_cuts(place: BarPlace, shares: Collection[Fraction]) -> set[Fraction]:
    """Clock times inside the bar at these shares of the full bar, in order from 0; a bar longer
    than its meter begins them again."""
    if place.meter is None:
        return set()
    full = place.meter.length * place.pace
    start = full_start(place)
    every = (start + full * (number + share) for number in count() for share in shares)
    return {at for at in takewhile(lambda at: at < place.end, every) if at >= place.start}


# The bars a player counts: those of their own part, also where barlines travel apart.


def own_bars(passage: Passage) -> tuple[BarPlace, ...]:
    """The part's own bars that sound in the passage, in order.

    Where barlines do not coincide the first may begin before the passage and the last end
    after it. Where the part is already over, the topmost part that goes on is counted
    instead, so that the click does not fall silent.
    """
    clock = passage.clock
    own = clock.places[passage.part]
    rest = own[clock.own_bar_at(passage.part, passage.start) :]
    sounding = takewhile(lambda place: place.start < passage.end, rest)
    found = [place for place in sounding if place.end > max(place.start, passage.start)]
    reached = found[-1].end if found else passage.start
    while reached < passage.end:
        other = _topmost_from(clock, reached)
        if other is None:
            break
        found.append(other)
        reached = other.end
    return tuple(found)


def _topmost_from(clock: Clock, time: Fraction) -> BarPlace | None:
    """The bar of the topmost part that has a barline at that time."""
    for part, places in enumerate(clock.places):
        if places:
            place = places[clock.own_bar_at(part, time)]
            if place.start == time < place.end:
                return place
    return None

"""Where the beats, pulses and equal cuts of a bar fall on the shared clock.

Everything is counted from where the *full* bar begins, which lies before the barline
in a pickup. Counting from the pickup's first note instead would put every stroke of
it on the wrong beat and an accent on an upbeat.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count, cycle, takewhile

from companion.rhythm.meter import Meter
from companion.score.clock import BarPlace


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

    def cuts(self, division: int) -> Iterator[Fraction]:
        """Clock times of so many equal pieces of it."""
        return (self.at + self.length * k / division for k in range(division))


UNMEASURED = Meter("unmeasured", (Fraction(1),), (2,))
"""What is counted where there is no meter: quarters, each in two."""


def full_start(place: BarPlace) -> Fraction:
    """Clock time at which the full bar would have begun."""
    return place.start - place.lead


def beats(place: BarPlace) -> Iterator[Beat]:
    """The beats of one bar, from where the full bar would begin to its right barline.

    A bar written longer than its meter goes on counting, without a second first beat;
    so does an unmeasured one.
    """
    meter = place.meter or UNMEASURED
    at = full_start(place)
    for number, (length, division) in enumerate(
        cycle(zip(meter.beats, meter.divisions, strict=True))
    ):
        if at >= place.end:
            return
        yield Beat(at, length * place.pace, division, number == 0)
        at += length * place.pace


def beat_cuts(place: BarPlace, division: int) -> set[Fraction]:
    """Clock times inside the bar at which every beat is cut into so many equal pieces."""
    return {
        at for beat in beats(place) for at in beat.cuts(division) if place.start <= at < place.end
    }


def bar_cuts(place: BarPlace, division: int) -> set[Fraction]:
    """Clock times inside the bar at which the full bar is cut into so many equal pieces."""
    if place.meter is None:
        return set()
    piece = place.meter.length * place.pace / division
    start = full_start(place)
    every = (start + piece * k for k in count())
    return {at for at in takewhile(lambda at: at < place.end, every) if at >= place.start}

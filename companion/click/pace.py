"""How fast one time through a passage goes, from moment to moment, exactly.

A tempo that grows steadily *in beats a minute* would put every beat at a logarithm. Here
the length of a beat changes steadily instead: each beat is shorter than the last by the
same amount, so every moment is a rational number (a square at most), nothing is added up,
and the last beat of a long ramp is as exact as the first.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import isqrt

_FINENESS = 2**80
"""Parts of a unit in which the moment of a second is looked for inside a ramp."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of one time through in which the tempo is steady, or changes steadily."""

    into: Fraction
    """Clock time after the passage begins."""
    seconds: Fraction
    """Seconds after the passage begins."""
    pace: Fraction
    """Seconds that a unit of clock time lasts, at its beginning."""
    change: Fraction = Fraction(0)
    """By how much that grows with each unit of clock time."""

    def after(self, time: Fraction) -> Fraction:
        """Seconds that pass in so much clock time from its beginning."""
        return time * (self.pace + self.change * time / 2)

    def reached(self, seconds: Fraction) -> Fraction:
        """The clock time that has passed after so many seconds from its beginning.

        Exact where the tempo is steady; in a ramp to 2⁻⁸⁰ of a unit.
        """
        if not self.change:
            return seconds / self.pace
        under = self.pace * self.pace + 2 * self.change * seconds
        scaled = under.numerator * _FINENESS * _FINENESS // under.denominator
        return 2 * seconds / (self.pace + Fraction(isqrt(max(0, scaled)), _FINENESS))


@dataclass(frozen=True, slots=True)
class Pace:
    """One time through, from its beginning to its end."""

    stretches: tuple[Stretch, ...]
    """In order from 0."""
    length: Fraction
    """Its clock time."""
    seconds: Fraction
    """How long it lasts."""

    def stretch_at(self, into: Fraction) -> Stretch:
        """The stretch that a clock time lies in; the first one before it begins."""
        number = bisect_right(self.stretches, into, key=lambda stretch: stretch.into)
        return self.stretches[max(0, number - 1)]

    def seconds_at(self, into: Fraction) -> Fraction:
        """Seconds from its beginning to a clock time."""
        stretch = self.stretch_at(into)
        return stretch.seconds + stretch.after(into - stretch.into)

    def into_at(self, seconds: Fraction) -> Fraction:
        """The clock time of so many seconds from its beginning; in a ramp to 2⁻⁸⁰."""
        number = bisect_right(self.stretches, seconds, key=lambda stretch: stretch.seconds)
        stretch = self.stretches[max(0, number - 1)]
        return stretch.into + stretch.reached(seconds - stretch.seconds)


def paced(bends: Iterable[tuple[Fraction, Fraction, Fraction]], length: Fraction) -> Pace:
    """A time through of `length` in clock time from its (into, pace, change) in order from 0."""
    stretches: list[Stretch] = []
    for into, pace, change in bends:
        seconds = Fraction(0)
        if stretches:
            last = stretches[-1]
            seconds = last.seconds + last.after(into - last.into)
        stretches.append(Stretch(into, seconds, pace, change))
    last = stretches[-1]
    return Pace(tuple(stretches), length, last.seconds + last.after(length - last.into))


def steady(pace: Fraction, length: Fraction) -> Pace:
    """One tempo from beginning to end."""
    return paced([(Fraction(0), pace, Fraction(0))], length)


def sloping(first: Fraction, last: Fraction, length: Fraction) -> Pace:
    """From one pace at the beginning to another at the end; `length` is not 0."""
    return paced([(Fraction(0), first, (last - first) / length)], length)

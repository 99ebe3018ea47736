"""Moments of one time through, made into frames all at once.

Whoever plays along (colleagues, a drum module) asks for the frames of hundreds of notes
while a sound card waits. What is the same each time through, the exact seconds of every
moment, is worked out once; what is left is adding whole numbers. Each moment is still
rounded once, from its absolute position, to the frame on which the click has it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from companion.click.pace import Pace


@dataclass(frozen=True, slots=True)
class Moments:
    """Clock times after the beginning of a time through, ready to become frames."""

    numerators: tuple[int, ...]
    """Of their frames after it begins."""
    denominator: int
    """Common to all."""

    def frames(self, begin: Fraction) -> list[int]:
        """The nearest frames when it begins at the (exact) frame `begin`; halves to even."""
        whole = lcm(self.denominator, begin.denominator)
        first, factor = begin.numerator * (whole // begin.denominator), whole // self.denominator
        return [_nearest(first + one * factor, whole) for one in self.numerators]


def moments(pace: Pace, rate: int, intos: Sequence[Fraction]) -> Moments:
    """When so many clock times fall in a time through of that pace."""
    exact = [pace.seconds_at(into) * rate for into in intos]
    whole = lcm(*(one.denominator for one in exact))
    return Moments(tuple(one.numerator * (whole // one.denominator) for one in exact), whole)


def _nearest(numerator: int, denominator: int) -> int:
    whole, rest = divmod(2 * numerator + denominator, 2 * denominator)
    return whole - (not rest and whole & 1)

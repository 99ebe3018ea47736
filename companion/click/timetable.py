"""When each time through begins, however often it comes round and whatever its tempo.

The first ones may all differ (a ladder that climbs); after them a few come round for ever
(the goal, or two tempos by turns). So the hundredth and the millionth time through are
found without walking there, and the way from seconds back to the music is as short.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate

from companion.click.pace import Pace

COUNTING = -1
"""The number of the time through while still counting in."""


@dataclass(frozen=True, slots=True)
class Timetable:
    """Every time through a passage, for ever, after a count-in."""

    counted: Pace
    """The count-in; of no length without one."""
    opening: tuple[Pace, ...]
    """Times through that come once, in order."""
    round: tuple[Pace, ...]
    """Times through that follow and come round for ever; at least one."""
    begins: tuple[Fraction, ...] = field(init=False)
    """Seconds from the start at which each of them begins, and then the second round."""

    def __post_init__(self) -> None:
        every = (self.counted, *self.opening, *self.round)
        begins = tuple(accumulate(pace.seconds for pace in every))
        object.__setattr__(self, "begins", begins)

    def pace(self, number: int) -> Pace:
        """How a time through goes, numbered from 0; COUNTING is the count-in."""
        if number < 0:
            return self.counted
        if number < len(self.opening):
            return self.opening[number]
        return self.round[(number - len(self.opening)) % len(self.round)]

    def slowest(self) -> int:
        """The first time through of those that last longest."""
        numbers = range(len(self.opening) + len(self.round))
        return max(numbers, key=lambda number: self.pace(number).seconds)

    def begin(self, number: int) -> Fraction:
        """Seconds from the start at which a time through begins."""
        if number < 0:
            return Fraction(0)
        if number < len(self.begins):
            return self.begins[number]
        rounds, rest = divmod(number - len(self.opening), len(self.round))
        return self.begins[len(self.opening) + rest] + rounds * self._round_seconds

    def seconds(self, number: int, into: Fraction) -> Fraction:
        """Seconds from the start to a clock time after a time through begins."""
        return self.begin(number) + self.pace(number).seconds_at(into)

    def number_at(self, seconds: Fraction) -> int:
        """The time through that is on so many seconds from the start."""
        rounds = 0
        if seconds >= self.begins[-1]:
            first = self.begins[len(self.opening)]
            rounds = (seconds - first) // self._round_seconds
            seconds -= rounds * self._round_seconds
        return bisect_right(self.begins, seconds) - 1 + rounds * len(self.round)

    @property
    def _round_seconds(self) -> Fraction:
        return self.begins[-1] - self.begins[len(self.opening)]

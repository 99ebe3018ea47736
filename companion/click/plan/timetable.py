"""When each time through begins, however often it comes round and whatever its tempo.

The first ones may all differ (a ladder that climbs); after them a few come round for ever
(the goal, or two tempos by turns). So the hundredth and the millionth time through are
found without walking there, and the way from seconds back to the music is as short.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate
from math import isqrt

from companion.click.plan.beats import beats, own_bars
from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.errors import RequestError
from companion.rhythm.tempo import Tempo
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage
from companion.score.tempo_map import TempoMap, tempo_map

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


# How fast one time through a passage goes, from moment to moment, exactly.


_FINENESS = 2**80
"""Parts of a unit in which the moment of a second is looked for inside a ramp."""


@dataclass(frozen=True, slots=True)
class TempoStretch:
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

    stretches: tuple[TempoStretch, ...]
    """In order from 0."""
    length: Fraction
    """Its clock time."""
    seconds: Fraction

    def stretch_at(self, into: Fraction) -> TempoStretch:
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
    stretches: list[TempoStretch] = []
    for into, pace, change in bends:
        seconds = Fraction(0)
        if stretches:
            last = stretches[-1]
            seconds = last.seconds + last.after(into - last.into)
        stretches.append(TempoStretch(into, seconds, pace, change))
    last = stretches[-1]
    return Pace(tuple(stretches), length, last.seconds + last.after(length - last.into))


def steady(pace: Fraction, length: Fraction) -> Pace:
    """One tempo from beginning to end."""
    return paced([(Fraction(0), pace, Fraction(0))], length)


def sloping(first: Fraction, last: Fraction, length: Fraction) -> Pace:
    """From one pace at the beginning to another at the end; `length` is not 0."""
    return paced([(Fraction(0), first, (last - first) / length)], length)


# From a tempo plan to a timetable: what each time through costs in seconds.


def timetable_of(
    tempo: TempoPlan, passage: Passage, *, count_in: Fraction, times: int
) -> Timetable:
    """When each time through a passage begins.

    `count_in` is its clock time; it is counted at the tempo the passage begins with. `times`
    is how many a ramp lasts that does not say so itself. Raises RequestError if the
    score's own tempos cannot be played to.
    """
    once = passage.end - passage.start
    if not once:
        raise RequestError(
            "these bars hold no time",
            where=f"bars {span_name(passage.clock, passage.first, passage.last)}",
            next="Choose longer ones.",
        )
    opening, round_ = _paces(tempo, passage, once, times)
    first = (*opening, *round_)[0].stretches[0].pace
    return Timetable(steady(first, count_in), opening, round_)


def first_tempo(passage: Passage, table: Timetable) -> Tempo:
    """The tempo at the beginning, in felt beats of the part in the passage's first bar.

    Raises RequestError if nobody could play to it.
    """
    pace = table.pace(0).stretches[0].pace
    return Tempo(60 / (pace * passage.beat_on_clock), passage.beat)


def _paces(
    tempo: TempoPlan, passage: Passage, once: Fraction, times: int
) -> tuple[tuple[Pace, ...], tuple[Pace, ...]]:
    """(times through that come once, times through that come round)."""

    def at(bpm: Fraction) -> Pace:
        return steady(_pace(passage, bpm), once)

    if isinstance(tempo, Fixed):
        return (), (at(tempo.bpm),)
    if isinstance(tempo, Ladder):
        climbed = [pace for bpm in tempo.tempos for pace in [at(bpm)] * tempo.each]
        return tuple(climbed[:-1]), (climbed[-1],)
    if isinstance(tempo, Turns):
        one, other = [at(tempo.first)] * tempo.each, [at(tempo.second)] * tempo.each
        return (), (*one, *other)
    if isinstance(tempo, Ramp):
        return _ramped(tempo, passage, once, tempo.over or times), (at(tempo.goal),)
    return (), (_as_marked(tempo, passage, once),)


def _pace(passage: Passage, bpm: Fraction) -> Fraction:
    """Seconds that a unit of clock time lasts at so many felt beats a minute."""
    return 60 / bpm / passage.beat_on_clock


def _ramped(ramp: Ramp, passage: Passage, once: Fraction, over: int) -> tuple[Pace, ...]:
    start, goal = _pace(passage, ramp.start), _pace(passage, ramp.goal)
    ends = [start + (goal - start) * Fraction(k, over) for k in range(over + 1)]
    return tuple(sloping(ends[k], ends[k + 1], once) for k in range(over))


def _as_marked(marked: Marked, passage: Passage, once: Fraction) -> Pace:
    """The score's own tempos in the passage, in stretches of one tempo."""
    tempos = marked_tempos(marked, passage)
    start, end = passage.start, passage.end
    turns = {start} | {step.start for step in tempos.steps if start < step.start < end}
    longer = dict(_held_beats(marked, passage, tempos)) if marked.hold else {}
    turns |= {at for span in longer for at in span if start < at < end}
    bends = []
    for at in sorted(turns):
        stretched = next((by for (a, b), by in longer.items() if a <= at < b), Fraction(1))
        pace = 60 / (tempos.rate_at(at) * marked.share) * stretched
        bends.append((at - start, pace, Fraction(0)))
    return paced(bends, once)


def marked_tempos(marked: Marked, passage: Passage) -> TempoMap:
    """The score's tempos, with every *rit.* and *accel.* drawn as far as was asked."""
    tempos = tempo_map(passage.clock)
    if marked.rit is None:
        return tempos
    shares = {
        change.start: 1 / marked.rit if change.is_faster else marked.rit
        for change in tempos.gradual_changes
    }
    return tempo_map(passage.clock, ramps=shares)


def _held_beats(
    marked: Marked, passage: Passage, tempos: TempoMap
) -> list[tuple[tuple[Fraction, Fraction], Fraction]]:
    """((from, to), how many times as long) of every beat of mine in which a note under a fermata
    ends: the beats before it go on in time."""
    counted = [beat for place in own_bars(passage) for beat in beats(place)]
    found = []
    for beat in counted:
        end = beat.at + beat.length
        if any(beat.at < hold <= end for hold in tempos.holds):
            found.append(((beat.at, end), 1 + marked.hold))
    return found

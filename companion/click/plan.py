"""From a passage to a plan of strokes: when each one falls, exactly.

The plan is the one thing a sound card, a WAV file, a MIDI file and a moving playhead
all draw from. Every position is a rational number counted from the start of the plan,
never a sum of rounded steps, so the last stroke of an hour is as exact as the first.
One time through is kept once, however often it comes round.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from companion.click.count_in import CountIn, count_in_for
from companion.click.layers import DEFAULT, Strand, in_order
from companion.click.mix import Mix
from companion.click.sounding import sounding
from companion.click.strokes import Stroke, beat_starts, counting, through
from companion.click.tempo_plan import Fixed, TempoPlan
from companion.click.timetable import COUNTING, Timetable
from companion.click.timing import first_tempo, timetable_of
from companion.click.wish import LONGEST, Wish, check
from companion.errors import RequestError
from companion.rhythm.conflicts import Conflict
from companion.rhythm.tempo import Tempo
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole click: count-in, then the passage as often as asked."""

    wish: Wish
    """What was asked for."""
    counted: tuple[Stroke, ...]
    """The strokes of the count-in, in order of time; at one time in order of `Layer`."""
    once: tuple[Stroke, ...]
    """The strokes of one time through, before silences, in clock time from its beginning."""
    lead_in: CountIn
    """The count-in that they belong to."""
    pass_length: Fraction
    """Clock time of one time through."""
    repeat: int
    """How many times through."""
    tempo: Tempo
    """Felt beats a minute of the part in the passage's first bar, at the beginning."""
    timetable: Timetable
    """When each time through begins, for ever."""
    bar_starts: tuple[tuple[int, Fraction], ...]
    """(ordinal bar, clock time from the start of the plan) for the first time through;
    the same bars come `pass_length` later in each repeat."""
    beats_each: int
    """Felt beats that begin in one time through."""

    @property
    def count_in(self) -> Fraction:
        """Clock time of the count-in; 0 without one."""
        return self.lead_in.length

    @property
    def length(self) -> Fraction:
        """Clock time of everything."""
        return self.count_in + self.pass_length * self.repeat

    @property
    def seconds(self) -> Fraction:
        """How long everything lasts, in seconds."""
        return self.timetable.begin(self.repeat)

    @property
    def seconds_per_unit(self) -> Fraction:
        """Seconds that one unit of clock time lasts at the beginning."""
        return self.timetable.pace(0).stretches[0].pace

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """Every stroke that sounds, in order. A long click has many: see `sounding`."""
        return tuple(sounding(self))


def plan(
    passage: Passage,
    conflicts: Sequence[Conflict],
    *,
    tempo_bpm: Fraction,
    layers: Iterable[Strand] = DEFAULT,
    count_in: int = 0,
    repeat: int = 1,
) -> Plan:
    """Plan the click of a passage at one tempo. `planned` takes every other wish.

    `tempo_bpm` counts felt beats of the part in the passage's first bar; where the meter
    changes later, the shared clock says what that makes of them. Raises as `planned`.
    """
    wish = Wish(Fixed(tempo_bpm), in_order(layers), count_in, repeat=repeat)
    return planned(passage, conflicts, wish)


def planned(passage: Passage, conflicts: Sequence[Conflict], wish: Wish) -> Plan:
    """Plan the click of a passage as a player wants it. `conflicts` are the whole score's.

    Raises RequestError for a click nobody can play: no layers, a tempo out of range, a
    count-in or a number of repeats out of range, more than twelve hours, or no time at all.
    """
    check(wish)
    layers = in_order(wish.layers)
    lead_in = count_in_for(passage, wish.count_in, wish.counted_by)
    table = timetable_of(wish.tempo, passage, count_in=lead_in.length, times=wish.times)
    _check_length(passage, table.begin(wish.times))
    return Plan(
        wish=replace(wish, layers=layers),
        counted=counting(lead_in, layers),
        once=through(passage, conflicts, layers, marks_upbeat=not wish.count_in),
        lead_in=lead_in,
        pass_length=passage.end - passage.start,
        repeat=wish.times,
        tempo=first_tempo(passage, table),
        timetable=table,
        bar_starts=tuple(
            (bar.number, bar.start - passage.start + lead_in.length) for bar in passage.bars
        ),
        beats_each=len(beat_starts(passage)),
    )


def with_mix(old: Plan, mix: Mix) -> Plan:
    """The same strokes heard otherwise; at once, while it plays."""
    return replace(old, wish=replace(old.wish, mix=mix))


def with_tempo(old: Plan, passage: Passage, tempo: TempoPlan) -> Plan:
    """The same strokes at another tempo. `passage` is the one it was planned from."""
    wish = replace(old.wish, tempo=tempo)
    check(wish)
    table = timetable_of(tempo, passage, count_in=old.count_in, times=wish.times)
    _check_length(passage, table.begin(wish.times))
    return replace(
        old, wish=wish, repeat=wish.times, timetable=table, tempo=first_tempo(passage, table)
    )


def place_in(plan: Plan, at: Fraction) -> tuple[int, Fraction]:
    """The time through (COUNTING in the count-in) and how far into it, of a clock time."""
    if at < plan.count_in:
        return COUNTING, at
    number, into = divmod(at - plan.count_in, plan.pass_length)
    return int(number), into


def seconds_at(plan: Plan, at: Fraction) -> Fraction:
    """Seconds from the start of the plan to a clock time of it, exactly."""
    return plan.timetable.seconds(*place_in(plan, at))


def frame(plan: Plan, at: Fraction, rate: int) -> int:
    """The sample on which a clock time of the plan falls.

    Nearest sample to the exact position, a half to the even one (1.5 and 2.5 both give 2),
    as Python rounds. Nothing has been rounded before.
    """
    return round(seconds_at(plan, at) * rate)


def bar_at(plan: Plan, at: Fraction) -> int:
    """Ordinal position of the bar that sounds at a clock time of the plan; 0 in the count-in."""
    number, into = place_in(plan, at)
    if number == COUNTING:
        return 0
    starts = plan.bar_starts
    found = bisect_right(starts, plan.count_in + into, key=lambda start: start[1])
    return starts[found - 1][0]


def _check_length(passage: Passage, seconds: Fraction) -> None:
    if seconds > LONGEST:
        raise RequestError(
            f"this click would last {float(seconds / 3600):.1f} hours",
            where=f"bars {passage.first}–{passage.last}",
            next=f"The most is {LONGEST // 3600}: fewer bars, fewer repeats or a faster tempo.",
        )

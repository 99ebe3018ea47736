"""From a passage to a plan of strokes: when each one falls, exactly.

The plan is the one thing a sound card, a WAV file, a MIDI file and a moving playhead
all draw from. Every position is a rational number counted from the start of the plan,
never a sum of rounded steps, so the last stroke of an hour is as exact as the first.
One time through is kept once, however often it comes round.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from companion.click.plan.click_settings import LONGEST, ClickSettings, check_settings
from companion.click.plan.count_in import CountIn, count_in_for
from companion.click.plan.layers import DEFAULT, AnyLayer, Layer, Mix, in_order
from companion.click.plan.silences import SilentSpot, faded, is_click_silent
from companion.click.plan.strokes import Stroke, beat_starts, counting, through
from companion.click.plan.tempo_plan import Fixed, TempoPlan
from companion.click.plan.timetable import (
    COUNTING,
    TempoStretch,
    Timetable,
    first_tempo,
    timetable_of,
)
from companion.errors import RequestError
from companion.findings.conflicts import Conflict
from companion.rhythm.tempo import Tempo
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class ClickPlan:
    """A whole click: count-in, then the passage as often as asked."""

    click_settings: ClickSettings
    counted: tuple[Stroke, ...]
    """The strokes of the count-in, in order of time; at one time in order of `Layer`."""
    once: tuple[Stroke, ...]
    """The strokes of one time through, before silences, in clock time from its beginning."""
    count_in: CountIn
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
    def count_in_length(self) -> Fraction:
        """Clock time of the count-in; 0 without one."""
        return self.count_in.length

    @property
    def length(self) -> Fraction:
        """Clock time of everything."""
        return self.count_in_length + self.pass_length * self.repeat

    @property
    def seconds(self) -> Fraction:
        """How long everything lasts, in seconds."""
        return self.timetable.begin(self.repeat)

    @property
    def strokes(self) -> tuple[Stroke, ...]:
        """Every stroke that sounds, in order. A long click has many: see `sounding_strokes`."""
        return tuple(sounding_strokes(self))


def plan(
    passage: Passage,
    conflicts: Sequence[Conflict],
    *,
    tempo_bpm: Fraction,
    layers: Iterable[AnyLayer] = DEFAULT,
    count_in: int = 0,
    repeat: int = 1,
) -> ClickPlan:
    """Plan the click of a passage at one tempo. `planned` takes every other wish.

    `tempo_bpm` counts felt beats of the part in the passage's first bar; where the meter
    changes later, the shared clock says what that makes of them. Raises as `planned`.
    """
    click_settings = ClickSettings(Fixed(tempo_bpm), in_order(layers), count_in, repeat=repeat)
    return planned(passage, conflicts, click_settings)


def planned(
    passage: Passage, conflicts: Sequence[Conflict], click_settings: ClickSettings
) -> ClickPlan:
    """Plan the click of a passage as a player wants it. `conflicts` are the whole score's.

    Raises RequestError for a click nobody can play: no layers, a tempo out of range, a
    count-in or a number of repeats out of range, more than twelve hours, or no time at all.
    """
    check_settings(click_settings)
    layers = in_order(click_settings.layers)
    count_in = count_in_for(passage, click_settings.count_in, click_settings.counted_by)
    table = timetable_of(
        click_settings.tempo, passage, count_in=count_in.length, times=click_settings.times
    )
    _check_length(passage, table.begin(click_settings.times))
    return ClickPlan(
        click_settings=replace(click_settings, layers=layers),
        counted=counting(count_in, layers),
        once=through(passage, conflicts, layers, marks_upbeat=not click_settings.count_in),
        count_in=count_in,
        pass_length=passage.end - passage.start,
        repeat=click_settings.times,
        tempo=first_tempo(passage, table),
        timetable=table,
        bar_starts=tuple(
            (bar.number, bar.start - passage.start + count_in.length) for bar in passage.bars
        ),
        beats_each=len(beat_starts(passage)),
    )


def with_mix(old: ClickPlan, mix: Mix) -> ClickPlan:
    """The same strokes heard otherwise; at once, while it plays."""
    return replace(old, click_settings=replace(old.click_settings, mix=mix))


def with_tempo(old: ClickPlan, passage: Passage, tempo: TempoPlan) -> ClickPlan:
    """The same strokes at another tempo. `passage` is the one it was planned from."""
    click_settings = replace(old.click_settings, tempo=tempo)
    check_settings(click_settings)
    table = timetable_of(tempo, passage, count_in=old.count_in_length, times=click_settings.times)
    _check_length(passage, table.begin(click_settings.times))
    return replace(
        old,
        click_settings=click_settings,
        repeat=click_settings.times,
        timetable=table,
        tempo=first_tempo(passage, table),
    )


def place_in(plan: ClickPlan, at: Fraction) -> tuple[int, Fraction]:
    """The time through (COUNTING in the count-in) and how far into it, of a clock time."""
    if at < plan.count_in_length:
        return COUNTING, at
    number, into = divmod(at - plan.count_in_length, plan.pass_length)
    return int(number), into


def seconds_at(plan: ClickPlan, at: Fraction) -> Fraction:
    """Seconds from the start of the plan to a clock time of it, exactly."""
    return plan.timetable.seconds(*place_in(plan, at))


def _check_length(passage: Passage, seconds: Fraction) -> None:
    if seconds > LONGEST:
        raise RequestError(
            f"this click would last {float(seconds / 3600):.1f} hours",
            where=f"bars {span_name(passage.clock, passage.first, passage.last)}",
            next=f"The most is {LONGEST // 3600}: fewer bars, fewer repeats or a faster tempo.",
        )


# The strokes of a plan that sound, one after another and from any place on.


class TimedStroke(NamedTuple):
    """A stroke on its sample."""

    frame: int
    """Samples from the start of the plan."""
    stroke: Stroke


def sounding_strokes(plan: ClickPlan) -> Iterator[Stroke]:
    """Every stroke from the count-in to the last time through, at its clock time."""
    for number in range(COUNTING, plan.repeat):
        begin = (
            plan.count_in_length + plan.pass_length * number if number > COUNTING else Fraction(0)
        )
        for stroke in _kept(plan, number):
            heard = _heard(plan, number, stroke)
            if heard is not None:
                yield replace(heard, at=begin + stroke.at)


def timed_strokes(
    plan: ClickPlan, rate: int, first: int, last: int, *, is_endless: bool = False
) -> Iterator[TimedStroke]:
    """The strokes whose sample is `first` or later and before `last`, in order.

    Where endless, times through follow each other for ever.
    """
    table = plan.timetable
    # `on` is the time through that sounds at `first`. The one before it may end on the very
    # same sample, because half a sample is rounded up.
    on = table.number_at(Fraction(first, rate)) if first > 0 else COUNTING
    number = max(COUNTING, on - 1)
    while number <= on or table.begin(number) * rate < last:
        if number >= plan.repeat and not is_endless:
            return
        yield from _strokes_of_time_through(plan, number, rate, first, last)
        number += 1


def _strokes_of_time_through(
    plan: ClickPlan, number: int, rate: int, first: int, last: int
) -> Iterator[TimedStroke]:
    """Those of one time through.

    Its strokes lie in stretches of steady or steadily changing tempo, so that a stroke's
    sample is one polynomial of its clock time, rounded once.
    """
    begin, pace = plan.timetable.begin(number), plan.timetable.pace(number)
    kept = _kept(plan, number)
    # One sample early, since rounding may still bring that stroke to `first`.
    earliest = max(Fraction(0), Fraction(first - 1, rate) - begin)
    index = bisect_left(kept, pace.into_at(earliest), key=lambda stroke: stroke.at)
    stretches = pace.stretches
    here = (
        max(0, bisect_right(stretches, kept[index].at, key=_into) - 1) if index < len(kept) else 0
    )
    while index < len(kept):
        until = stretches[here + 1].into if here + 1 < len(stretches) else pace.length
        # In samples: base + slope·t + curve·t², t being clock time since the stretch began.
        start, base = stretches[here].into, (begin + stretches[here].seconds) * rate
        slope, curve = stretches[here].pace * rate, stretches[here].change * rate / 2
        while index < len(kept) and (stroke := kept[index]).at < until:
            time = stroke.at - start
            at = round(base + time * (slope + curve * time if curve else slope))
            if at >= last:
                return
            index += 1
            if at >= first and (heard := _heard(plan, number, stroke)) is not None:
                yield TimedStroke(at, heard)
        here += 1


def shares_in(plan: ClickPlan, number: int) -> tuple[Fraction, ...]:
    """How loud each stroke of `once` sounds in a time through, numbered from 0: the share of its
    level that silences and fades leave, 0 for silence."""
    heard = (_heard(plan, number, stroke) for stroke in plan.once)
    return tuple(Fraction(0) if one is None else one.share for one in heard)


def silent_bars(plan: ClickPlan, number: int) -> frozenset[int]:
    """Ordinal positions of the bars of which a time through, numbered from 0, leaves no stroke.

    What strikes nothing anyway is not counted: nothing is left out there.
    """
    if not plan.click_settings.silences:
        return frozenset()
    mix = plan.click_settings.mix
    struck = [one for one in plan.once if not mix.choices or mix.is_on(one.layer)]
    heard = {one.bar for one in struck if _heard(plan, number, one) is not None}
    return frozenset(one.bar for one in struck) - heard


def _into(stretch: TempoStretch) -> Fraction:
    return stretch.into


def _kept(plan: ClickPlan, number: int) -> Sequence[Stroke]:
    """The strokes of a time through before silences, in clock time from its beginning."""
    return plan.once if number > COUNTING else plan.counted


def _heard(plan: ClickPlan, number: int, stroke: Stroke) -> Stroke | None:
    """The stroke as it sounds in a time through; None if it is silent.

    The mix decides before the silences: a layer that is off leaves no gap to be counted.
    """
    click_settings = plan.click_settings
    if number == COUNTING:  # silences and fades begin with the music; the beat is always counted
        is_counted = stroke.layer is Layer.BEAT or click_settings.mix.is_on(stroke.layer)
        return stroke if is_counted else None
    if click_settings.mix.choices and not click_settings.mix.is_on(stroke.layer):
        return None
    if click_settings.silences and is_click_silent(
        click_settings.silences, _spot(plan, number, stroke)
    ):
        return None
    if not click_settings.fades:
        return stroke
    share = faded(click_settings.fades, stroke.layer, number)
    return replace(stroke, share=share) if share else None


def _spot(plan: ClickPlan, number: int, stroke: Stroke) -> SilentSpot:
    starts = plan.bar_starts
    # Bars, beats and times through before this stroke, since the first time through began.
    counts = (
        number * len(starts) + stroke.bar - starts[0][0],
        number * plan.beats_each + max(0, stroke.beat - 1),
        number,
    )
    return SilentSpot(counts, stroke.is_contested, stroke.layer)

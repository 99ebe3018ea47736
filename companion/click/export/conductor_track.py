"""The conductor track of a click: meters, tempos, and words about them.

A MIDI file keeps meter and tempo in one track for everybody, so it cannot show two
meters at once; here it shows those of the player's own part and says so. Every position
is a whole number of ticks rounded once from the exact one.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import merge
from itertools import pairwise

from mido import MetaMessage

from companion.click.plan.beats import full_start, own_bars
from companion.click.plan.plan import ClickPlan, seconds_at
from companion.click.plan.strokes import beat_starts
from companion.errors import RequestError
from companion.rhythm.meter import Meter
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage

TICKS = 2520
"""Ticks to the quarter: the least number that 1 to 9 all divide, so that every division
of a quarter into up to nine (and ten, twelve …) is exact. Others, 11, 13 and 16 among
them, are rounded to the nearest tick from the absolute position: at most 0.2 ms at 60."""

_SLOWEST = 0xFFFFFF
"""Microseconds a quarter that three bytes can hold."""
CLOCKS = 24
"""MIDI clocks to the quarter."""


@dataclass(frozen=True, slots=True)
class Signature:
    """A meter as the file can hold it."""

    numerator: int
    """From 1 to 255."""
    denominator: int
    """A power of two."""
    clocks: int
    """MIDI clocks a felt beat: 36 in 6/8; a pulse where beats are unequal."""
    is_faithful: bool
    """False if the meter cannot be written in a MIDI file and 4/4 stands in."""

    @property
    def length(self) -> Fraction:
        """One bar, in quarters."""
        return Fraction(4 * self.numerator, self.denominator)


_PLAIN = Signature(4, 4, CLOCKS, True)


def ticks(quarters: Fraction) -> int:
    """The tick nearest to a number of written quarters, a half to the even one."""
    return round(quarters * TICKS)


def signature(meter: Meter | None) -> Signature:
    """What a meter becomes in the file: an additive one its sum, unmeasured bars 4/4."""
    if meter is None:
        return _PLAIN
    unit = max(int(bottom) for bottom in re.findall(r"/(\d+)", meter.text))
    top = meter.length * unit / 4
    if unit & (unit - 1) or top.denominator != 1 or top > 255:
        return Signature(4, 4, CLOCKS, False)
    felt = meter.beat if meter.is_even else Fraction(4, unit)
    return Signature(int(top), unit, min(255, max(1, round(felt * CLOCKS))), True)


def conduct(
    plan: ClickPlan, passage: Passage, rod: Sequence[QuarterMeasure]
) -> Iterator[tuple[int, MetaMessage]]:
    """(tick, message) of the conductor track, in order."""
    score = passage.clock.score
    bars = span_name(passage.clock, passage.first, passage.last)
    name = f"{score.title}: {passage.part_name}, bars {bars}"
    yield 0, MetaMessage("track_name", name=name)
    yield 0, MetaMessage("text", text=_about(passage))
    yield 0, MetaMessage("instrument_name", name="click of companion")
    tempos = ((ticks(at), _set_tempo(pace)) for at, pace in tempo_steps(plan, passage, rod))
    yield from merge(_meters(rod), tempos, key=lambda event: event[0])


def _meters(rod: Sequence[QuarterMeasure]) -> Iterator[tuple[int, MetaMessage]]:
    meter: Meter | None = None
    stated: Fraction | None = None
    for measure in rod:
        if stated is None or not _follows(measure, meter, stated):
            at = ticks(measure.quarters)
            if stated is None or measure.meter != meter:
                yield from ((at, message) for message in _words(measure.meter))
            meter, stated = measure.meter, measure.quarters
            yield at, _time_signature(measure.meter)


def _follows(measure: QuarterMeasure, meter: Meter | None, stated: Fraction) -> bool:
    """Whether a reader who counts on from the last meter event has this barline right.

    Where not (a change of meter, the bar after a pickup or after a short bar, a repeat) the
    meter is stated again. A pickup is given the meter of its full bar, as a file has no
    other way to name it.
    """
    into = (measure.quarters - stated) % signature(meter).length
    return measure.meter == meter and into == measure.over


def _about(passage: Passage) -> str:
    return (
        "One MIDI file cannot carry two meters at once: "
        f"meters, barlines and tempos here are those of {passage.part_name}."
    )


def _words(meter: Meter | None) -> Iterator[MetaMessage]:
    """What the meter event itself cannot say."""
    written = signature(meter)
    if meter is None:
        yield MetaMessage("text", text="unmeasured: counted in quarters")
    elif not written.is_faithful:
        yield MetaMessage("text", text=f"{meter} cannot be written in a MIDI file; 4/4 stands in")
    elif "+" in meter.text:
        total = f"{written.numerator}/{written.denominator}"
        yield MetaMessage("text", text=f"{meter}, written here as {total}")


def _time_signature(meter: Meter | None) -> MetaMessage:
    written = signature(meter)
    return MetaMessage(
        "time_signature",
        numerator=written.numerator,
        denominator=written.denominator,
        clocks_per_click=written.clocks,
        notated_32nd_notes_per_beat=8,
    )


def _set_tempo(pace: Fraction) -> MetaMessage:
    """Microseconds a quarter, rounded: the file's own grain, at most half a microsecond off."""
    micros = round(pace * 1_000_000)
    if not 0 < micros <= _SLOWEST:
        raise RequestError(
            f"a quarter of {micros / 1_000_000:.3g} seconds does not fit into a MIDI file",
            next="Choose a faster tempo, or write a WAV file.",
        )
    return MetaMessage("set_tempo", tempo=micros)


# A plan's tempos as a MIDI file can hold them: steps, each of one tempo.


def tempo_steps(
    plan: ClickPlan, passage: Passage, rod: Sequence[QuarterMeasure]
) -> Iterator[tuple[Fraction, Fraction]]:
    """(written quarters, seconds a quarter lasts from there on), in order, changes only."""
    beats = [at - passage.start for at in beat_starts(passage)]
    times = {measure.at for measure in rod} | set(_turns(plan, beats))
    known = [
        (quarters_at(rod, at), seconds_at(plan, at))
        for at in (*sorted(at for at in times if at < plan.length), plan.length)
    ]
    pace: Fraction | None = None
    for (quarters, seconds), (quarters_after, seconds_after) in pairwise(known):
        here = (seconds_after - seconds) / (quarters_after - quarters)
        if here != pace:
            pace = here
            yield quarters, pace


def _turns(plan: ClickPlan, beats: Sequence[Fraction]) -> Iterator[Fraction]:
    """Clock times at which a new tempo begins; `beats` are those of one time through."""
    yield Fraction(0)
    for number in range(plan.repeat):
        pace = plan.timetable.pace(number)
        begin = plan.count_in_length + number * plan.pass_length
        yield from (begin + stretch.into for stretch in pace.stretches)
        if any(stretch.change for stretch in pace.stretches):
            yield from (begin + at for at in beats)


# A plan in written quarters: the measuring rod of a MIDI file.


@dataclass(frozen=True, slots=True)
class QuarterMeasure:
    """One bar of the part as it is met in the plan."""

    at: Fraction
    """Clock time from the start of the plan."""
    quarters: Fraction
    """Written quarters from the start of the plan."""
    over: Fraction
    """Quarters of the full bar that lie before it: 3 where a pickup of one enters in 4/4."""
    pace: Fraction
    """Clock time of one written quarter."""
    meter: Meter | None
    """The part's meter; None if unmeasured."""


def measures(plan: ClickPlan, passage: Passage) -> tuple[QuarterMeasure, ...]:
    """Every measure of a plan, in order. `passage` is the one it was planned from."""
    found: list[QuarterMeasure] = []
    quarters = Fraction(0)
    for at, over, pace, meter in _unrolled(plan, passage):
        if found:
            quarters = quarters_at(found[-1:], at)
        found.append(QuarterMeasure(at, quarters, over, pace, meter))
    return tuple(found)


def quarters_at(rod: Sequence[QuarterMeasure], at: Fraction) -> Fraction:
    """Written quarters from the start of the plan to a clock time of it."""
    measure = rod[max(0, bisect_right(rod, at, key=lambda measure: measure.at) - 1)]
    return measure.quarters + (at - measure.at) / measure.pace


def _unrolled(
    plan: ClickPlan, passage: Passage
) -> Iterator[tuple[Fraction, Fraction, Fraction, Meter | None]]:
    """(clock time, quarters already over, pace, meter) of each measure."""
    count_in, at = plan.count_in, Fraction(0)
    while at < count_in.length:
        yield at, Fraction(0), count_in.pace, count_in.meter
        at += count_in.full
    places = own_bars(passage)
    for number in range(plan.repeat):
        shift = plan.count_in_length + plan.pass_length * number - passage.start
        for place in places:
            begins = max(place.start, passage.start)
            over = (begins - full_start(place)) / place.pace
            yield begins + shift, over, place.pace, place.meter

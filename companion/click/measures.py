"""A plan in written quarters: the measuring rod of a MIDI file.

A MIDI file counts quarters, and what a quarter lasts is told apart from where it is. So
the shared clock is unrolled into the part's own measures, each with its meter and its
pace: count-in first, then every bar of every time through.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.click.beats import full_start
from companion.click.own_bars import own_bars
from companion.click.plan import Plan
from companion.rhythm.meter import Meter
from companion.score.passage import Passage


@dataclass(frozen=True, slots=True)
class Measure:
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
    """The part's meter; None where unmeasured."""


def measures(plan: Plan, passage: Passage) -> tuple[Measure, ...]:
    """Every measure of a plan, in order. `passage` is the one it was planned from."""
    found: list[Measure] = []
    quarters = Fraction(0)
    for at, over, pace, meter in _unrolled(plan, passage):
        if found:
            quarters = quarters_at(found[-1:], at)
        found.append(Measure(at, quarters, over, pace, meter))
    return tuple(found)


def quarters_at(rod: Sequence[Measure], at: Fraction) -> Fraction:
    """Written quarters from the start of the plan to a clock time of it."""
    measure = rod[max(0, bisect_right(rod, at, key=lambda measure: measure.at) - 1)]
    return measure.quarters + (at - measure.at) / measure.pace


def _unrolled(
    plan: Plan, passage: Passage
) -> Iterator[tuple[Fraction, Fraction, Fraction, Meter | None]]:
    """(clock time, quarters already over, pace, meter) of each measure."""
    lead_in, at = plan.lead_in, Fraction(0)
    while at < lead_in.length:
        yield at, Fraction(0), lead_in.pace, lead_in.meter
        at += lead_in.full
    places = own_bars(passage)
    for number in range(plan.repeat):
        shift = plan.count_in + plan.pass_length * number - passage.start
        for place in places:
            begins = max(place.start, passage.start)
            over = (begins - full_start(place)) / place.pace
            yield begins + shift, over, place.pace, place.meter

"""The strokes of a plan that sound, one after another and from any place on.

They are made when they are asked for, out of the one time through that is kept: an hour
of repeats costs no more memory than a minute, and a playing source can begin anywhere.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING, NamedTuple

from companion.click.layers import Layer
from companion.click.pace import Stretch
from companion.click.silences import Spot, faded, is_silent
from companion.click.strokes import Stroke
from companion.click.timetable import COUNTING

if TYPE_CHECKING:
    from companion.click.plan import Plan


class Blow(NamedTuple):
    """A stroke on its sample."""

    frame: int
    """Samples from the start of the plan."""
    stroke: Stroke
    """What strikes."""


def sounding(plan: Plan) -> Iterator[Stroke]:
    """Every stroke from the count-in to the last time through, at its clock time."""
    for number in range(COUNTING, plan.repeat):
        begin = plan.count_in + plan.pass_length * number if number > COUNTING else Fraction(0)
        for stroke in _kept(plan, number):
            heard = _heard(plan, number, stroke)
            if heard is not None:
                yield replace(heard, at=begin + stroke.at)


def blows(
    plan: Plan, rate: int, first: int, last: int, *, is_endless: bool = False
) -> Iterator[Blow]:
    """The strokes whose sample is `first` or later and before `last`, in order.

    Where endless, times through follow each other for ever.
    """
    table = plan.timetable
    on = table.number_at(Fraction(first, rate)) if first > 0 else COUNTING
    # The time through before may end on the very sample: half a sample is rounded up.
    number = max(COUNTING, on - 1)
    while number <= on or table.begin(number) * rate < last:
        if number >= plan.repeat and not is_endless:
            return
        yield from _blows_in(plan, number, rate, first, last)
        number += 1


def _blows_in(plan: Plan, number: int, rate: int, first: int, last: int) -> Iterator[Blow]:
    """Those of one time through."""
    begin, pace = plan.timetable.begin(number), plan.timetable.pace(number)
    kept = _kept(plan, number)
    earliest = max(Fraction(0), Fraction(first - 1, rate) - begin)
    index = bisect_left(kept, pace.into_at(earliest), key=lambda stroke: stroke.at)
    bends = pace.stretches
    bend = max(0, bisect_right(bends, kept[index].at, key=_into) - 1) if index < len(kept) else 0
    while index < len(kept):
        until = bends[bend + 1].into if bend + 1 < len(bends) else pace.length
        start, base = bends[bend].into, (begin + bends[bend].seconds) * rate
        slope, curve = bends[bend].pace * rate, bends[bend].change * rate / 2
        while index < len(kept) and (stroke := kept[index]).at < until:
            time = stroke.at - start
            at = round(base + time * (slope + curve * time if curve else slope))
            if at >= last:
                return
            index += 1
            if at >= first and (heard := _heard(plan, number, stroke)) is not None:
                yield Blow(at, heard)
        bend += 1


def _into(stretch: Stretch) -> Fraction:
    return stretch.into


def _kept(plan: Plan, number: int) -> Sequence[Stroke]:
    return plan.once if number > COUNTING else plan.counted


def _heard(plan: Plan, number: int, stroke: Stroke) -> Stroke | None:
    """The stroke as it sounds in a time through; None where it is silent."""
    wish = plan.wish
    if number == COUNTING:
        is_counted = stroke.layer is Layer.BEAT or wish.mix.is_on(stroke.layer)
        return stroke if is_counted else None
    if wish.mix.choices and not wish.mix.is_on(stroke.layer):
        return None
    if wish.silences and is_silent(wish.silences, _spot(plan, number, stroke)):
        return None
    if not wish.fades:
        return stroke
    share = faded(wish.fades, stroke.layer, number)
    return replace(stroke, share=share) if share else None


def _spot(plan: Plan, number: int, stroke: Stroke) -> Spot:
    starts = plan.bar_starts
    counts = (
        number * len(starts) + stroke.bar - starts[0][0],
        number * plan.beats_each + max(0, stroke.beat - 1),
        number,
    )
    return Spot(counts, stroke.is_contested, stroke.layer)

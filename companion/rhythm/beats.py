"""Beats counted along a part's own bars, whatever the others count.

The same silence is eight beats for one player and twelve for another; a rest must be
counted in the meter of the one who rests.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from fractions import Fraction

from companion.rhythm.meter import Meter
from companion.rhythm.stream import Span, Stream


def beats_between(stream: Stream, first: int, last: int) -> Fraction:
    """Felt beats of the part from one grain to another; unmeasured bars have none."""
    return sum(
        (
            _reached(meter, bar, min(last, bar.end)) - _reached(meter, bar, max(first, bar.start))
            for bar, meter in bars_between(stream, first, last)
            if meter
        ),
        Fraction(0),
    )


def bars_between(stream: Stream, first: int, last: int) -> Iterator[tuple[Span, Meter | None]]:
    """The part's own bars that lie, wholly or not, between two grains, with their meters."""
    at = max(0, bisect_right(stream.own_bars, first, key=lambda bar: bar.start) - 1)
    while at < len(stream.own_bars) and stream.own_bars[at].start < last:
        yield stream.own_bars[at], stream.own_meters[at]
        at += 1


def place_in_bar(stream: Stream, at: int) -> tuple[int, Fraction] | None:
    """The part's own bar (as ordinal) and the beat in it, 1 on the barline; None outside all
    bars and in unmeasured ones."""
    for bar, meter in bars_between(stream, at, at + 1):
        if meter and bar.start <= at < bar.end:
            return bar.number, _reached(meter, bar, at) + 1
    return None


def _reached(meter: Meter, bar: Span, at: int) -> Fraction:
    """Beats from where the full bar would begin up to a grain in it."""
    quarters = (at - bar.start + bar.lead) * meter.length / (bar.length + bar.lead)
    beats = Fraction(0)
    for beat in meter.beats:
        if quarters < beat:
            return beats + quarters / beat
        quarters -= beat
        beats += 1
    return beats

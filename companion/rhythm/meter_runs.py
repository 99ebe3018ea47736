"""Stretches of a part's own bars under one meter, and how long a written quarter lasts there.

A bar that is short (a pickup, one split by a repeat) says nothing about the length of its
meter. Taking its length for a full bar's would make its eighths too quick, so the usual
bar of the stretch decides.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from companion.rhythm.meter import Meter
from companion.rhythm.stream import Span, Stream


@dataclass(frozen=True, slots=True)
class MeterRun:
    """Successive own bars of one part in one meter."""

    meter: Meter
    """Their meter."""
    bars: tuple[Span, ...]
    """The bars, in order."""
    full: int
    """Grains of a full bar."""

    @property
    def start(self) -> int:
        """Grain of the first barline."""
        return self.bars[0].start

    @property
    def end(self) -> int:
        """Grain of the last barline."""
        return self.bars[-1].end

    @property
    def quarter(self) -> Fraction:
        """Grains of a written quarter."""
        return self.full / self.meter.length


def meter_runs(stream: Stream) -> tuple[MeterRun, ...]:
    """A part's measured stretches in order; what is unmeasured is left out."""
    found: list[MeterRun] = []
    together = groupby(zip(stream.own_meters, stream.own_bars, strict=True), lambda pair: pair[0])
    for meter, pairs in together:
        bars = tuple(bar for _, bar in pairs)
        if meter is not None:
            lengths = Counter(bar.length + bar.lead for bar in bars)
            found.append(MeterRun(meter, bars, lengths.most_common(1)[0][0]))
    return tuple(found)

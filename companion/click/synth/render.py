"""From a plan to samples: every stroke begins exactly on its own sample.

The sample is that of the stroke's exact position, rounded once. A layer is one instrument:
its next stroke damps the last one, hence no more than one stroke of each layer sounds at a
time, and what all layers reach together is known before anything sounds.

Any stretch of a click can be made by itself, and gives the bits it has in the whole. So a
file of any length is written a block at a time, and a sound card reads from the same plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.layers import AnyLayer
from companion.click.plan.plan import ClickPlan, TimedStroke, timed_strokes
from companion.click.plan.timetable import COUNTING
from companion.click.synth.layer_sounds import RATE, LayerSamples, LayerSounds
from companion.click.synth.struck_sounds import longest

Samples = NDArray[np.int16]
"""(frames, 2): left and right."""

BLOCK = 1 << 16
"""Frames that are made at a time: small enough to stay near the processor."""


def length(plan: ClickPlan, rate: int) -> int:
    """Frames of the whole plan."""
    return round(plan.seconds * rate)


def render(plan: ClickPlan, rate: int = RATE) -> Samples:
    """The whole plan in one piece, count-in and repeats included.

    `round(plan.seconds * rate)` frames; what would ring beyond them is damped.
    Raises RequestError for a sample rate outside 16,000–192,000.
    """
    sounds, end = LayerSounds(plan, rate), length(plan, rate)
    samples = np.zeros((end, 2), np.int16)
    for first in range(0, end, BLOCK):
        _add(samples[first : first + BLOCK], plan, sounds, first, end)
    return samples


def blocks(plan: ClickPlan, rate: int = RATE, bits: int = 16) -> Iterator[LayerSamples]:
    """The whole plan a block at a time, the last one shorter. 24 bits come as 32-bit numbers.

    The block is used again for the next: copy what is to be kept. Raises as `LayerSounds`.
    """
    sounds, end = LayerSounds(plan, rate, bits), length(plan, rate)
    block: LayerSamples = np.empty((BLOCK, 2), sounds.sample_format.kind)
    for first in range(0, end, BLOCK):
        part = block[: min(BLOCK, end - first)]
        part[:] = 0
        _add(part, plan, sounds, first, end)
        yield part


def stretch(
    plan: ClickPlan, sounds: LayerSounds, first: int, count: int, *, is_endless: bool = False
) -> LayerSamples:
    """Any `count` frames from `first` on; silence before and after the plan.

    Where endless, times through follow each other for ever and nothing is damped at an end.
    """
    samples: LayerSamples = np.zeros((count, 2), sounds.sample_format.kind)
    end = None if is_endless else length(plan, sounds.rate)
    _add(samples, plan, sounds, first, end)
    return samples


def _add(
    samples: LayerSamples, plan: ClickPlan, sounds: LayerSounds, first: int, end: int | None
) -> None:
    """Add to silence what sounds from frame `first` on; at `end` everything is damped.

    A stroke may have begun before, and the one that damps it may come after.
    """
    ring, last = longest(sounds.rate), first + len(samples)
    until = last + ring if end is None else min(last + ring, end)
    near = timed_strokes(plan, sounds.rate, max(0, first - ring), until, is_endless=end is None)
    for struck in _by_layer(near):
        _lay(samples, sounds, first, struck, until)


def _by_layer(struck: Iterable[TimedStroke]) -> Iterable[list[TimedStroke]]:
    """Each layer's strokes in order."""
    found: dict[AnyLayer, list[TimedStroke]] = {}
    for timed in struck:
        found.setdefault(timed.stroke.layer, []).append(timed)
    return found.values()


def _lay(
    samples: LayerSamples, sounds: LayerSounds, first: int, struck: list[TimedStroke], until: int
) -> None:
    """Add one layer's strokes, each damped by the next, the last one at `until`.

    `samples` begin at frame `first`; what lies outside is left away.
    """
    ends = [*(timed.frame for timed in struck[1:]), until]
    for (start, stroke), end in zip(struck, ends, strict=False):
        sound = sounds.sound(stroke)
        if end - start < len(sound):
            sound = sounds.damped(sound, end - start)
        begin = start - first
        if begin < 0:
            sound, begin = sound[-begin:], 0
        part = samples[begin : begin + len(sound)]
        part += sound[: len(part)]


# A click that is made while it plays, out of the plan alone.


@dataclass(frozen=True, slots=True, eq=False)
class LiveClick:
    """A plan as a source of sound. Immutable; read it from any thread.

    It also tells where in the music a frame lies, and the way back, so that what plays
    along, or draws, agrees with it to the frame.
    """

    plan: ClickPlan
    rate: int = RATE
    """Frames a second."""
    is_endless: bool = True
    """Whether times through follow each other for ever; else as often as the plan says."""
    sounds: LayerSounds = field(init=False)

    def __post_init__(self) -> None:
        """Raises RequestError for a sample rate outside 16,000–192,000."""
        object.__setattr__(self, "sounds", LayerSounds(self.plan, self.rate))

    @property
    def length(self) -> int | None:
        """How many frames it lasts; None when it never ends."""
        return None if self.is_endless else length(self.plan, self.rate)

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2); silence outside the sound."""
        if count < 0:
            raise ValueError(f"cannot read {count} frames")
        made = stretch(self.plan, self.sounds, first, count, is_endless=self.is_endless)
        return made.astype(np.int16, copy=False)

    def frame(self, number: int, into: Fraction) -> int:
        """The frame of a clock time after the beginning of a time through, from 0.

        In the count-in, COUNTING, `into` is counted from its own beginning.
        """
        return round(self.plan.timetable.seconds(number, into) * self.rate)

    def pass_at(self, frame: int) -> int:
        """The time through, from 0, that is on at a frame; COUNTING before the first."""
        table = self.plan.timetable
        number = table.number_at(Fraction(max(0, frame), self.rate))
        number += round(table.begin(number + 1) * self.rate) <= frame
        return number if self.is_endless else min(number, self.plan.repeat - 1)

    def place_at(self, frame: int) -> tuple[int, Fraction]:
        """The time through that is on at a frame, and how far into it, in clock time.

        `frame` of what comes back is the same frame again. In the count-in (COUNTING) it is
        counted from the count-in's own beginning; before the start it is that beginning.
        """
        number = self.pass_at(frame)
        table = self.plan.timetable
        seconds = Fraction(max(0, frame), self.rate) - table.begin(number)
        most = self.plan.count_in_length if number == COUNTING else self.plan.pass_length
        return number, min(table.pace(number).into_at(max(Fraction(0), seconds)), most)

"""A few soft strokes to find the device, set the volume and compare the ear with the screen.

It is the first thing anybody hears, so it is only half as strong as a drill's beat.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from companion.sound.source import Rendered

STROKES = 4
"""Strokes of one time through, one a second, the first one higher."""
LEVEL = 0.07
"""Peak of a stroke, as a share of full scale (−23 dBFS)."""
LEAD = 3
"""Seconds of silence before the first stroke, to read the caution and reach for the knob."""
CAUTION = (
    "A soft test click follows in three seconds. Take headphones off your ears first, turn "
    "the volume low and then up: no program can know how loud it is at your ear."
)
"""Told before it sounds."""


def soft_click(rate: int) -> Rendered:
    """After LEAD seconds of silence four soft strokes, one a second, round and round."""
    import numpy as np

    from companion.click.voices import struck
    from companion.sound.source import Rendered

    samples = np.zeros(((LEAD + STROKES) * rate, 2), np.int16)
    for number in range(STROKES):
        wave = struck("low block" if number else "high block", rate) * LEVEL * 32767
        begin = (LEAD + number) * rate
        samples[begin : begin + len(wave)] = np.rint(wave).astype(np.int16)[:, None]
    samples.setflags(write=False)
    return Rendered(samples, rate, LEAD * rate)


def stroke_at(frame: int, rate: int) -> tuple[int, float] | None:
    """Which stroke was heard last, from 1, and how many seconds ago; None before the first."""
    number, rest = divmod(frame - LEAD * rate, rate)
    return (number % STROKES + 1, rest / rate) if number >= 0 else None

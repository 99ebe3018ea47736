"""A note held for ever, to tune a passage against.

It never begins again: where it is in its wave follows from the frame alone, so that a
passage going round has no seam in it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from companion.click.synth.silence_block import numbered
from companion.click.synth.tones import PERIOD, ramp
from companion.click.synth.tuning import A, hertz

LEVEL = 0.05
"""Its peak, as a share of full scale."""
_PARTIALS = (1.0, 0.5, 0.33, 0.25, 0.2, 0.16)
"""Strong upper partials: octave, twelfth and third of the note are what one tunes to."""
_RISE = 0.2
"""Seconds in which it comes in."""
_FULL_SCALE = 32767


class Drone:
    """One note without end. Immutable; read it from any thread."""

    length = None

    def __init__(self, pitch: int, rate: int, a: float = A) -> None:
        """`pitch` in semitones, middle C = 60; `a` is the tuning in hertz."""
        self.rate = rate
        self._turn = hertz(pitch, a) / rate
        heard = [n for n in range(1, len(_PARTIALS) + 1) if n * self._turn < 0.5]
        angle = 2 * np.pi * np.arange(PERIOD + 1) / PERIOD
        wave = sum((_PARTIALS[n - 1] * np.sin(n * angle) for n in heard), np.zeros(PERIOD + 1))
        wave[-1] = wave[0]
        self._period = wave * (LEVEL / max(float(np.abs(wave).max()), 1.0))

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2); silence before frame 0."""
        here = numbered(first, count)
        turn = here * self._turn
        phase = (turn - np.floor(turn)) * PERIOD
        before = phase.astype(np.intp)
        step = self._period[before + 1] - self._period[before]
        wave = self._period[before] + (phase - before) * step
        rise = round(_RISE * self.rate)
        wave *= ramp(rise)[np.clip(here, 0, rise)]
        mono: NDArray[np.int16] = np.rint(wave * _FULL_SCALE).astype(np.int16)
        return np.repeat(mono[:, None], 2, axis=1)

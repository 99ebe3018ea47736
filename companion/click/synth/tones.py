"""The held and plucked sounds in which other players' notes are played along.

Made here by adding partials, like the strokes of the click, and for the same reason no
imitation of an instrument is sought: a player has to hear when the others begin, where
they go and whether the chord is in tune, for an hour and through laptop speakers.

A wave that repeats is kept as one period and read at whatever pitch is wanted; every
sample follows from its own distance to the note's beginning alone, so that any stretch
of a note can be asked for and the pieces fit together bit for bit.

What each tone is made of stands in `timbres.py`.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.timbres import TONES, Tone, ToneName
from companion.click.synth.silence_block import numbered

Wave = NDArray[np.float64]

PERIOD = 8192
"""Samples in which one period is kept: read between them in a straight line, the error of
the twentieth partial stays 90 dB below it."""
HIGHEST = 9000.0
"""Hertz above which no partial is sounded: nothing there helps to hear a beginning."""


def sounded(name: ToneName, hertz: float, rate: int, length: int, first: int, count: int) -> Wave:
    """`count` samples of a note from its own sample `first` on; peak at most 1.

    `length` is the whole note's, in samples; outside it there is silence. The first sample
    of a note is 0, the next one is not.
    """
    tone = TONES[name]
    begin, end = max(0, -first), min(count, length - first)
    if begin >= end:
        return np.zeros(count)
    here = numbered(first + begin, end - begin)
    turn = here * (hertz / rate)
    phase = (turn - np.floor(turn)) * PERIOD
    most = int(min(HIGHEST, rate / 2) / hertz)
    wave = _band(name, 0, most, phase, here, rate)
    for band in range(1, len(tone.bands)):
        wave += _band(name, band, most, phase, here, rate)
    wave *= _shape(tone, rate, length, here)
    if end - begin == count:
        return wave
    return np.concatenate([np.zeros(begin), wave, np.zeros(count - end)])


def _band(
    name: ToneName, band: int, most: int, phase: Wave, here: NDArray[np.int_], rate: int
) -> Wave:
    """A band at the phases given, read between the samples of its period in a straight line."""
    period = _period(name, band, most)
    before = phase.astype(np.intp)
    wave: Wave = period[before] + (phase - before) * (period[before + 1] - period[before])
    decay = TONES[name].bands[band].decay
    if decay is not None:
        wave *= _dying(decay, rate, here)
    return wave


@lru_cache(maxsize=256)
def _period(name: ToneName, band: int, most: int) -> Wave:
    """One period of a band with at most so many partials, and its first sample again.

    Divided by what all bands together can reach. Shared: do not write into it.
    """
    period = _added(TONES[name].bands[band].partials[: max(1, most)]) / reach(name)
    period.setflags(write=False)
    return period


@lru_cache(maxsize=len(TONES))
def reach(name: ToneName) -> float:
    """The most all bands together come to, however many partials are left out."""
    return sum(
        max(float(np.abs(_added(b.partials[:most])).max()) for most in range(len(b.partials) + 1))
        for b in TONES[name].bands
    )


def _added(partials: tuple[float, ...]) -> Wave:
    turn = 2 * np.pi * np.arange(PERIOD + 1) / PERIOD
    wave = np.zeros(PERIOD + 1)
    for number, strength in enumerate(partials, 1):
        wave += strength * np.sin(number * turn)
    wave[-1] = wave[0]
    return wave


def _dying(decay: float, rate: int, here: NDArray[np.int_]) -> Wave:
    fall = _fall(decay, rate)
    return fall[np.minimum(here, len(fall) - 1)]


@lru_cache(maxsize=16)
def _fall(decay: float, rate: int) -> Wave:
    """From 1 to a thousandth, then nothing."""
    count = round(7 * decay * rate)
    fall: Wave = np.exp(-np.arange(count) / (decay * rate))
    fall[-1] = 0.0
    fall.setflags(write=False)
    return fall


def _shape(tone: Tone, rate: int, length: int, here: NDArray[np.int_]) -> Wave:
    """The rise and the fall of a note; a short one is all rise and fall."""
    rise = max(1, min(round(tone.attack * rate), length // 4))
    fall = max(1, min(round(tone.release * rate), length // 4))
    up = ramp(rise)[np.minimum(here, rise)]
    return up * ramp(fall)[np.minimum(length - here, fall)]


@lru_cache(maxsize=256)
def ramp(count: int) -> Wave:
    """A smooth way from 0 up to 1 in `count` steps, both ends included. Do not write into it."""
    way: Wave = (1 - np.cos(np.pi * np.arange(count + 1) / count)) / 2
    way.setflags(write=False)
    return way

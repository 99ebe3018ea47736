"""The short struck sounds of the click, made here by adding decaying partials.

A stroke has to begin *on* its sample: a sound that swells over ten milliseconds blurs
exactly what the player practises. Every partial therefore starts at its crest (cosine
phase), so the very first sample is already the loudest, and after 20–45 ms the sound is
exactly silent again.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.percussion import PERCUSSION

_RELEASE = 0.3
"""The last share of every sound, over which it is led to zero."""
_SEED = 1
_FINER = 4
_NOISE_DECAY = 0.002
"""Seconds in which the noise of the stroke falls to 1/e."""


@lru_cache(maxsize=64)
def struck(voice: str, rate: int) -> NDArray[np.float64]:
    """One stroke of a voice at `rate` samples a second, its peak exactly 1.

    The same every time: the noise comes from a generator whose numbers are fixed.
    Partials the rate cannot carry are left out. The array is shared: do not write into it.
    """
    body = PERCUSSION[voice]
    count = round(body.length * rate)
    time = np.arange(count) / rate
    sound = np.zeros(count)
    for ratio, loudness, decay in body.partials:
        pitch = body.pitch * ratio
        if pitch < rate / 2:
            sound += loudness * np.exp(-time / decay) * np.cos(2 * np.pi * pitch * time)
    noise = np.random.RandomState(_SEED).uniform(-1, 1, count)
    sound += body.noise * noise * np.exp(-time / _NOISE_DECAY)
    released = round(count * _RELEASE)
    sound[count - released :] *= released_to_zero(released)
    sound /= np.abs(sound).max()
    sound.setflags(write=False)
    return sound


@lru_cache(maxsize=64)
def true_peak(voice: str, rate: int) -> float:
    """How high a voice rises between its samples too, where a loudspeaker follows it.

    Four times as many samples, as ITU-R BS.1770-4, Annex 2, wants at least; the points
    between are those of the one band-limited curve through the samples.
    """
    silence = np.zeros(len(struck(voice, rate)))
    sound = np.concatenate([silence, struck(voice, rate), silence])
    spectrum = np.fft.rfft(sound)
    return float(np.abs(np.fft.irfft(spectrum, _FINER * len(sound))).max() * _FINER)


def longest(rate: int) -> int:
    """Samples that the longest voice lasts."""
    return max(round(body.length * rate) for body in PERCUSSION.values())


def released_to_zero(count: int) -> NDArray[np.float64]:
    """A smooth way from 1 down to exactly 0 in so many samples (half a period of a cosine)."""
    return (1 + np.cos(np.pi * np.arange(1, count + 1) / count)) / 2 if count else np.ones(0)

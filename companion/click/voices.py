"""The short struck sounds of the click, made here by adding decaying partials.

A stroke has to begin *on* its sample: a sound that swells over ten milliseconds blurs
exactly what the player practises. Every partial therefore starts at its crest (cosine
phase), so the very first sample is already the loudest, and after 20–45 ms the sound is
exactly silent again.

Where the ratios of partials come from (physics of the ideal bodies, from memory): a free
bar 1 : 2.756 : 5.404, a circular membrane 1 : 1.594 : 2.136 : 2.296. Pitches and decays
were set by spectrogram, so that each voice stands in a place of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

_RELEASE = 0.3
"""The last share of every sound, over which it is led to zero."""
_SEED = 1
_NOISE_DECAY = 0.002
"""Seconds in which the noise of the blow falls to 1/e."""


@dataclass(frozen=True, slots=True)
class Voice:
    """A struck body."""

    pitch: float
    """Hertz of its first partial."""
    partials: tuple[tuple[float, float, float], ...]
    """(ratio to the first, loudness, seconds in which it falls to 1/e) of each partial."""
    noise: float
    """Loudness of the blow itself."""
    length: float
    """Seconds until it is silent."""


VOICES: Mapping[str, Voice] = MappingProxyType(
    {
        "low block": Voice(
            988.0, ((1, 1, 0.008), (2.756, 0.4, 0.004), (5.404, 0.15, 0.002)), 0.05, 0.035
        ),
        "high block": Voice(
            1480.0, ((1, 1, 0.009), (2.756, 0.5, 0.005), (5.404, 0.2, 0.002)), 0.05, 0.040
        ),
        "stick": Voice(2490.0, ((1, 1, 0.008), (2.756, 0.12, 0.003)), 0.02, 0.040),
        "skin": Voice(
            415.0,
            ((1, 1, 0.013), (1.594, 0.6, 0.010), (2.136, 0.35, 0.008), (2.296, 0.2, 0.006)),
            0.05,
            0.045,
        ),
        "rattle": Voice(
            3100.0, ((1, 0.5, 0.004), (1.33, 0.5, 0.004), (1.83, 0.5, 0.003)), 0.5, 0.030
        ),
        "tick": Voice(4700.0, ((1, 1, 0.003), (1.5, 0.3, 0.002)), 0.02, 0.020),
    }
)


@lru_cache(maxsize=64)
def struck(voice: str, rate: int) -> NDArray[np.float64]:
    """One stroke of a voice at `rate` samples a second, its peak exactly 1.

    The same every time: the noise comes from a generator whose numbers are fixed.
    Partials the rate cannot carry are left out. The array is shared: do not write into it.
    """
    body = VOICES[voice]
    count = round(body.length * rate)
    time = np.arange(count) / rate
    sound = np.zeros(count)
    for ratio, loudness, decay in body.partials:
        pitch = body.pitch * ratio
        if pitch < rate / 2:
            sound += loudness * np.exp(-time / decay) * np.cos(2 * np.pi * pitch * time)
    blow = np.random.RandomState(_SEED).uniform(-1, 1, count)
    sound += body.noise * blow * np.exp(-time / _NOISE_DECAY)
    released = round(count * _RELEASE)
    sound[count - released :] *= released_to_zero(released)
    sound /= np.abs(sound).max()
    sound.setflags(write=False)
    return sound


def longest(rate: int) -> int:
    """Samples that the longest voice lasts."""
    return max(round(body.length * rate) for body in VOICES.values())


def released_to_zero(count: int) -> NDArray[np.float64]:
    """A smooth way from 1 down to exactly 0 in so many samples (half a period of a cosine)."""
    return (1 + np.cos(np.pi * np.arange(1, count + 1) / count)) / 2 if count else np.ones(0)

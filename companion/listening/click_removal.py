"""Take the click out of a take: what was played through the headphones is known exactly.

What the microphone hears of it is the same waveform, later, weaker and coloured by
headphones and room: a short filter. The delay is found for the whole take, the filter for
some seconds at a time, because two sound cards never keep quite the same time, by least
squares against the take itself; the music is no part of the click and averages out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Wave = NDArray[np.float64]
Spectrum = NDArray[np.complex128]

_BLOCK = 30.0
"""Seconds for which one filter serves."""
_EARLY, _LATE = 0.002, 0.012
"""Seconds before and after the delay that the filter spans."""
_LOWEST = 600.0
"""Hertz below which headphones leak nothing worth measuring, and the music is loudest."""
_CLEAR = 9.0
"""How far the best delay must stand out, in standard deviations, or nothing is taken out."""


def without_click(samples: Wave, click: Wave, rate: float) -> Wave:
    """The take less what it holds of the click (both mono at `rate`); the same if it holds none.

    The click may begin anywhere in the take, or before it.
    """
    size = _quick(len(samples) + len(click))
    heard, struck = np.fft.rfft(samples, size), np.fft.rfft(click, size)
    weight = _evened(heard, rate)
    delay = _delay(heard * np.conj(struck) * weight**2, len(samples))
    if delay is None:
        return samples
    early, taps = round(_EARLY * rate), round((_EARLY + _LATE) * rate)
    turned = struck * np.exp(-2j * np.pi * np.arange(len(struck)) * (delay - early) / size)
    high = weight > 0
    leaking = np.fft.irfft(turned * high, size)[: len(samples)]
    even_take = np.fft.irfft(heard * weight, size)[: len(samples)]
    even_click = np.fft.irfft(turned * weight, size)[: len(samples)]
    rest = samples.copy()
    count = max(1, round(len(samples) / rate / _BLOCK))
    for here in np.array_split(np.arange(len(samples)), count):
        part = slice(int(here[0]), int(here[-1]) + 1)
        if leaking[part].any():
            response = _response(even_take[part], even_click[part], taps)
            rest[part] -= _through(leaking[part], response)
    return rest


def _quick(count: int) -> int:
    """A length at least as large whose transform is quick."""
    unit = 1 << max(0, count.bit_length() - 4)
    return -(-count // unit) * unit


def _evened(heard: Spectrum, rate: float) -> Wave:
    """What makes a take equally strong at all frequencies above _LOWEST, and silent below: a
    held note must not outweigh the strokes."""
    hertz = np.arange(len(heard)) * (rate / 2 / (len(heard) - 1))
    strength = np.abs(heard)
    width = max(1, int(50 * len(hertz) / (rate / 2)))
    sums = np.concatenate([np.zeros(1), np.cumsum(strength)])
    ends = np.minimum(np.arange(len(strength)) + width, len(strength))
    starts = np.maximum(np.arange(len(strength)) - width, 0)
    usual = (sums[ends] - sums[starts]) / (ends - starts)
    usual = usual / max(1e-30, float(usual.max())) + 1e-4
    made: Wave = np.where(hertz > _LOWEST, 1 / usual, 0.0)
    return made


def _delay(together: Spectrum, length: int) -> int | None:
    """Samples from the start of the take to that of the click; None if it is not heard."""
    likely = np.abs(np.fft.irfft(together))
    best = int(likely.argmax())
    if likely[best] < _CLEAR * float(likely.std()):
        return None
    return best if best < length else best - len(likely)


def _response(heard: Wave, struck: Wave, taps: int) -> Wave:
    """The filter that makes of the click what is heard of it, by least squares."""
    size = _quick(len(heard) + taps)
    a, b = np.fft.rfft(struck, size), np.fft.rfft(heard, size)
    own = np.fft.irfft(np.abs(a) ** 2, size)[:taps]
    cross = np.fft.irfft(np.conj(a) * b, size)[:taps]
    own[0] *= 1.01  # holds down what the click says nothing about
    rows = np.arange(taps)
    solved: Wave = np.linalg.solve(own[np.abs(rows[:, None] - rows)], cross)
    return solved


def _through(wave: Wave, response: Wave) -> Wave:
    size = _quick(len(wave) + len(response))
    made: Wave = np.fft.irfft(np.fft.rfft(wave, size) * np.fft.rfft(response, size), size)
    return made[: len(wave)]

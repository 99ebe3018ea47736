"""Take the click out of a take: what was played through the headphones is known exactly.

What the microphone hears of it is the same waveform, later, weaker and coloured by
headphones and room: a short filter. Two sound devices never keep quite the same time, so that
the click is also a little longer or shorter than it was made. Delay and clock are found for the
whole take, the filter for some seconds at a time, by least squares against the take itself; the
music is no part of the click and averages out.
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
_APART = 2.5e-4
"""Share by which the clocks of two devices differ at most: quartz stays under half of it."""
_SEARCHED, _BELOW = 300.0, 1000.0
"""Hertz of the band in which delay and clock are first looked for, narrow to be quick, and under
which it lies: the lower, the less do clocks that differ matter."""
_PIECE = 10.0
"""Seconds of a take whose own delay is measured."""
_NEAR = 0.004
"""Seconds by which it may be off the one that was first found."""


def without_click(samples: Wave, click: Wave, rate: float) -> Wave:
    """The take less what it holds of the click (both mono at `rate`); the same if it holds none.

    The click may begin anywhere in the take, or before it.
    """
    size = _quick(len(samples) + len(click))
    heard = np.fft.rfft(samples, size)
    weight = _evened(heard, rate)
    even_take = np.fft.irfft(heard * weight, size)
    place = _place(heard * weight, np.fft.rfft(click, size) * weight, rate, len(samples))
    if place is None:
        return samples
    struck = np.fft.rfft(_laid(click, place, len(samples), rate), size)
    even_click = np.fft.irfft(struck * weight, size)
    place = _sharpened(place, even_take, even_click, rate, len(samples))
    early, taps = round(_EARLY * rate), round((_EARLY + _LATE) * rate)
    sooner = (place[0] - early / rate, place[1])
    struck = np.fft.rfft(_laid(click, sooner, len(samples), rate), size)
    leaking = np.fft.irfft(struck * (weight > 0), size)[: len(samples)]
    even_click = np.fft.irfft(struck * weight, size)
    rest = samples.copy()
    count = max(1, round(len(samples) / rate / _BLOCK))
    for here in np.array_split(np.arange(len(samples)), count):
        part = slice(int(here[0]), int(here[-1]) + 1)
        if leaking[part].any():
            response = _response(even_take[part], even_click[part], taps)
            rest[part] -= _through(leaking[part], response)
    return rest


_Place = tuple[float, float]
"""Seconds of the take at which the click begins, and seconds of it for one of the click."""


def _laid(click: Wave, place: _Place, length: int, rate: float) -> Wave:
    """The click where it sounds in a take, on the take's clock."""
    at = (np.arange(length) - place[0] * rate) / place[1]
    laid: Wave = np.interp(at, np.arange(len(click)), click, left=0.0, right=0.0)
    return laid


def _place(heard: Spectrum, struck: Spectrum, rate: float, length: int) -> _Place | None:
    """Roughly where the click lies in the take; None if it is not heard."""
    hertz = rate / 2 / (len(heard) - 1)
    width = round(_SEARCHED / hertz)
    strength = np.cumsum(np.abs(struck) ** 2)
    strength = strength[: round(_BELOW / hertz)]
    low = int((strength[width:] - strength[:-width]).argmax()) + 1
    high = low + width
    count = 1 << (2 * width - 1).bit_length()
    take = np.fft.fft(np.fft.ifft(heard[low:high], count))
    beats = np.fft.ifft(struck[low:high], count)
    # `count` moments make up the whole that `heard` is the spectrum of.
    moment = 1 / hertz / count
    at = np.arange(count)
    step = 1 / _BELOW / (length / rate)
    best, found = _CLEAR, None
    for apart in sorted(np.arange(-_APART, _APART, step) + step / 2, key=abs):
        turned = np.exp(-2j * np.pi * low * hertz * moment * apart * at)
        slow = np.interp(at / (1 + apart), at, beats) * turned
        likely = np.abs(np.fft.ifft(take * np.conj(np.fft.fft(slow))))
        top = int(likely.argmax())
        clear = float(likely[top] / (likely.std() + 1e-30))
        if clear > best:
            begin = top if top * moment < length / rate else top - count
            best, found = clear, (begin * moment, 1 + float(apart))
        if best > 2 * _CLEAR:
            break
    return found


def _sharpened(place: _Place, take: Wave, click: Wave, rate: float, length: int) -> _Place:
    """The same, by the delays that pieces of the take have against the click as laid."""
    reach = round(_NEAR * rate)
    times, delays, clear = [], [], []
    for here in np.array_split(np.arange(length), max(1, round(length / rate / _PIECE))):
        part = slice(int(here[0]), int(here[-1]) + 1)
        size = _quick(len(here) + 2 * reach)
        a, b = np.fft.rfft(take[part], size), np.fft.rfft(click[part], size)
        likely = np.roll(np.fft.irfft(a * np.conj(b), size), reach)[: 2 * reach + 1]
        top = int(np.abs(likely).argmax())
        times.append(float(here.mean()) / rate)
        delays.append((top - reach) / rate)
        clear.append(float(np.abs(likely[top]) / (likely.std() + 1e-12)))
    weights = np.array(clear) ** 2
    middle = float(np.average(delays, weights=weights))
    weights = weights / (1 + ((np.array(delays) - middle) / 1e-3) ** 2)
    if len(times) == 1:
        return place[0] + middle, place[1]
    slope, start = np.polyfit(times, delays, 1, w=np.sqrt(weights))
    return place[0] + float(start + slope * place[0]), place[1] * (1 + float(slope))


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

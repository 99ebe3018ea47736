"""Take the click out of a take: what was played through the headphones is known exactly.

What the microphone hears of it is the same waveform, later, weaker and coloured by headphones
and room: a short filter. Two sound devices never keep quite the same time, so it is also a
little longer or shorter than it was made. Single strokes are looked for in the whole take; one
line through their delays is where the click begins and how its clock runs. The filter is then
found by least squares against the take itself; the music is no part of the click and averages
out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor
from typing import Any

import numpy as np
from numpy.typing import NDArray

Wave = NDArray[np.floating[Any]]
Spectrum = NDArray[np.complexfloating[Any, Any]]
Band = NDArray[np.complexfloating[Any, Any]]
"""A narrow band of a wave, moved down to zero, with few samples a second."""

_EARLY, _LATE = 0.001, 0.006
"""Seconds before and after the delay that the filter spans."""
_LOWEST = 600.0
"""Hertz below which headphones leak nothing worth measuring, and the music is loudest."""
_SEARCHED = 2400.0
"""Hertz above _LOWEST in which strokes are looked for: there clicks are strong."""
_APART = 2.5e-4
"""Share by which the clocks of two devices differ at most: quartz stays under half of it."""
_PIECE = 1.0
"""Seconds of click that are looked for at once: so short that the clocks do not matter."""
_FIRST = 16
"""Pieces that are looked for in the whole take; the others only near the line through them."""
_STEP = 0.005
"""Seconds within which the first pieces must agree."""
_GUESSES, _SPARE = 3, 10
"""Places that are tried, and how many _STEPs they lie apart: a click is much like itself."""
_NEAR, _ON_LINE = 0.012, 0.0005
"""Seconds around the first line in which a piece is looked for, and within which it agrees."""
_AGREE, _LEAST = 0.25, 5
"""Share and number of pieces that must agree, or nothing is taken out: by chance one in 24."""
_CLEAR = 400
"""How much the right place must explain over the usual one. In takes to develop on: 16 to 350
without click, from 600 on with it."""
_BLOCK, _HALF_WAVE, _SCATTER = 10.0, 0.0003, 5e-5
"""Seconds of the take whose delay is measured by the waveform, around the line how far, and by
how much one is usually off."""
_LOUD = 0.1
"""Seconds around a moment that tell how loud the music is there."""
_TRANSFORMED = 2048
"""Samples that are transformed at once where a short filter is meant: small enough to stay near
the processor."""
_POOLS = 20
"""Parts of that for which loudness is told at once."""


def without_click(samples: Wave, click: Wave, rate: float) -> Wave:
    """The take less what it holds of the click (both mono at `rate`); the same if it holds none.

    The click may begin anywhere in the take, or before it.
    """
    size = _quick(max(len(samples), len(click)) + round(rate))
    heard, struck = np.fft.rfft(samples, size), np.fft.rfft(click, size)
    weight = _evened(heard, rate)
    heard *= weight
    clock = _clock(heard, struck * weight, rate, len(samples), len(click))
    if clock is None:
        return samples
    early, taps = round(_EARLY * rate), round((_EARLY + _LATE) * rate)
    even_click: Wave = np.fft.irfft(struck * weight, size)[: len(click)]
    even_take: Wave = np.fft.irfft(heard, size)[: len(samples)]
    # Where the music is soft, the take says most about the click.
    soft = 1 / _loudness(even_take, rate)
    even_take = even_take * soft
    clock = _by_phase(clock, even_take, even_click, soft, rate)
    sooner = _Clock(clock.begin - early / rate, clock.pace)
    laid = _laid(even_click, sooner, len(samples), rate) * soft
    leaking: Wave = np.fft.irfft(struck * (weight > 0), size)[: len(click)]
    leaking = _laid(leaking, sooner, len(samples), rate)
    return samples - _through(leaking, _response(even_take, laid, taps))


@dataclass(frozen=True, slots=True)
class _Clock:
    """Where the click lies in the take."""

    begin: float
    """Seconds in the take."""
    pace: float
    """Seconds of the take for one of the click."""


def _clock(
    heard: Spectrum, struck: Spectrum, rate: float, length: int, struck_length: int
) -> _Clock | None:
    """By the pieces of the click that are found; None if too few agree."""
    step = rate / 2 / (len(heard) - 1)
    low, count = round(_LOWEST / step), _quick(round(_SEARCHED / step))
    few = count * step
    take = np.fft.ifft(heard[low : low + count])[: round(length / rate * few)]
    beats = np.fft.ifft(struck[low : low + count])[: round(struck_length / rate * few)]
    loud = _loudness(take, few)
    pieces = list(_pieces(beats, round(_PIECE * few)))
    if not pieces:
        return None
    guesses = _guesses(take / loud, beats, pieces, few)
    paces = [_pace(guess, take / loud, beats, pieces, few) for guess in guesses]
    places = _Places(take, loud, len(beats), few)
    placed = [places.of(pace, beats) for pace in paces if pace is not None]
    best, clock = max(placed, default=(0.0, None), key=lambda one: one[0])
    return clock if best > _CLEAR else None


class _Places:
    """Where a click of a known pace explains most of a take. It is much like itself a bar later:
    only the whole of it, and silence where it has no stroke, tell them apart."""

    def __init__(self, take: Band, loud: Wave, struck: int, few: float) -> None:
        self._length, self._few = len(take), few
        self._size = _quick(len(take) + round(struck * (1 + 2 * _APART)) + 2)
        weight = 1 / loud**2
        self._heard = np.fft.fft(take * weight, self._size)
        self._weight = np.fft.rfft(weight, self._size)

    def of(self, pace: float, beats: Band) -> tuple[float, _Clock]:
        """By how much the click explains more there than elsewhere, and the place."""
        few, size = self._few, self._size
        at = np.arange(round(len(beats) * pace)) / pace
        before = np.minimum(at.astype(int), len(beats) - 2)
        turned = 2j * np.pi * _LOWEST / few * (at - np.arange(len(at)))
        after = (at - before).astype(np.float32)
        laid = beats[before] + after * (beats[before + 1] - beats[before])
        laid *= np.exp(turned.astype(np.complex64))
        own = np.fft.rfft(laid.real**2 + laid.imag**2, size).conj()
        struck = np.fft.irfft(self._weight * own, size)
        heard = np.fft.ifft(self._heard * np.fft.fft(laid, size).conj())
        explained = (heard.real**2 + heard.imag**2) / (struck + 0.01 * struck.max())
        top = int(explained.argmax())
        begin = (top if top < self._length else top - size) / few
        return float(explained[top] / np.median(explained[::8])), _Clock(begin, pace)


def _pieces(beats: Band, size: int) -> Iterator[slice]:
    """The pieces of the click in which anything is struck."""
    parts = [slice(first, first + size) for first in range(0, max(1, len(beats) - size // 2), size)]
    energy = [float((np.abs(beats[part]) ** 2).sum()) for part in parts]
    for part, strong in zip(parts, energy, strict=True):
        if strong > 0.05 * max(energy):
            yield part


def _guesses(take: Band, beats: Band, pieces: list[slice], few: float) -> Iterator[_Clock]:
    """Places on which the first pieces agree best, within _STEP."""
    # A click that is longer than the take was mostly stopped, not begun before it.
    within = [part for part in pieces if part.start < len(take)]
    chosen = np.linspace(0, len(within) - 1, min(_FIRST, len(within))).astype(int)
    picked = [within[n] for n in chosen]
    size = _quick(len(take) + round(_PIECE * few))
    pool = max(1, round(_STEP * few))
    spectrum, lines = np.fft.fft(take, size), []
    before = -(-len(beats) // pool)
    for part in picked:
        likely = np.abs(np.fft.ifft(spectrum * np.conj(np.fft.fft(beats[part], size))))[: len(take)]
        likely = np.minimum(likely / np.median(likely[::8]), 8)
        pooled = np.pad(likely, (0, -len(likely) % pool)).reshape(-1, pool).max(axis=1)
        line = np.zeros(len(pooled) + before + 2 * _SPARE)
        line[_SPARE + before - round(part.start / pool) :][: len(pooled)] = pooled
        lines.append(line)
    return _best_lines(np.array(lines), picked, before, pool / few, few)


def _best_lines(
    lines: Wave, picked: list[slice], before: int, step: float, few: float
) -> Iterator[_Clock]:
    starts = np.array([part.start for part in picked]) / few
    paces = np.arange(-_APART, _APART + 1e-9, max(1e-5, step / max(starts[-1], step)))
    totals = np.zeros((len(paces), lines.shape[1]))
    for total, apart in zip(totals, paces, strict=True):
        for line, start in zip(lines, starts, strict=True):
            total += np.roll(line, -round(start * apart / step))
        total += np.maximum(np.roll(total, 1), np.roll(total, -1)) / 2
    for _ in range(_GUESSES):
        row, top = np.unravel_index(int(totals.argmax()), totals.shape)
        yield _Clock((int(top) - _SPARE - before + 0.5) * step, 1 + float(paces[row]))
        totals[:, max(0, top - _SPARE) : top + _SPARE] = 0


def _pace(guess: _Clock, take: Band, beats: Band, pieces: list[slice], few: float) -> float | None:
    """By the line through the delays of all pieces near a guess; None if too few agree."""
    reach = round(_NEAR * few)
    times, delays, strengths = [], [], []
    for part in pieces:
        place = part.start / few
        first = round((guess.begin + place * guess.pace) * few) - reach
        size = part.stop - part.start
        if first < 0 or first + size + 2 * reach > len(take):
            continue
        piece = beats[part]
        likely = np.abs(np.correlate(take[first : first + len(piece) + 2 * reach], piece, "valid"))
        top = int(likely[1:-1].argmax()) + 1
        a, b, c = likely[top - 1 : top + 2]
        energy = np.abs(piece) ** 2
        times.append(place + float(np.average(np.arange(len(piece)), weights=energy)) / few)
        delays.append((first + top + (a - c) / (2 * (a - 2 * b + c) - 1e-12)) / few - place)
        strengths.append(float(b))
    return _line(np.array(times), np.array(delays), np.array(strengths), guess.pace - 1)


def _line(times: Wave, delays: Wave, strengths: Wave, apart: float) -> float | None:
    """The pace of the line with which most delays agree."""
    if len(times) < _LEAST:
        return None
    begin = float(np.median(delays - times * apart))
    on_line = np.zeros(len(times), bool)
    for width in (_STEP, _STEP / 2, 2 * _ON_LINE, _ON_LINE, _ON_LINE):
        on_line = np.abs(delays - begin - apart * times) < width
        if on_line.sum() < _LEAST:
            return None
        weights = strengths[on_line] ** 2
        middle = np.average(times[on_line], weights=weights)
        mean = np.average(delays[on_line], weights=weights)
        wide = weights * (times[on_line] - middle)
        # A short click says nothing about the clock.
        spread = (wide * (times[on_line] - middle)).sum() + weights.mean() * 9
        apart = float((wide * (delays[on_line] - mean)).sum() / spread)
        begin = float(mean - apart * middle)
    return 1 + apart if on_line.mean() > _AGREE else None


def _by_phase(clock: _Clock, take: Wave, click: Wave, soft: Wave, rate: float) -> _Clock:
    """The same clock, as exact as the waveform itself makes it."""
    laid = _laid(click, clock, len(take), rate) * soft
    reach, size = round(_HALF_WAVE * rate), round(_BLOCK * rate)
    blocks = range(0, max(1, len(take) - size // 2), size)
    rows = np.array([_correlation(take, laid, first, size, 2 * reach) for first in blocks])
    total = rows.sum(axis=0)
    centre = int(np.abs(total[reach:-reach]).argmax()) + reach
    near = rows[:, centre - reach : centre + reach + 1] * np.sign(total[centre])
    tops = near[:, 1:-1].argmax(axis=1) + 1
    numbers = np.arange(len(rows))
    a, b, c = (near[numbers, tops + by] for by in (-1, 0, 1))
    off = (tops - reach + (a - c) / (2 * (a - 2 * b + c) - 1e-12)) / rate
    at = (numbers + 0.5) * _BLOCK - clock.begin
    weights: Wave = np.maximum(b, 0.0) ** 2
    begin = slope = 0.0
    for _ in range(3):
        far = weights / (1 + ((off - begin - slope * at) / _SCATTER) ** 2) + 1e-30
        middle, mean = np.average(at, weights=far), np.average(off, weights=far)
        wide = at - middle
        slope = float((far * wide * (off - mean)).sum() / ((far * wide**2).sum() + far.sum()))
        begin = float(mean - slope * middle)
    return _Clock(clock.begin + begin, clock.pace * (1 + slope))


def _correlation(take: Wave, laid: Wave, first: int, size: int, reach: int) -> Wave:
    """Of a block of the click with the take, up to `reach` samples earlier and later."""
    part = laid[first : first + size]
    around = np.pad(
        take[max(0, first - reach) : first + len(part) + reach], (max(0, reach - first), reach)
    )
    return np.correlate(around[: len(part) + 2 * reach], part, "valid")


def _laid(click: Wave, clock: _Clock, length: int, rate: float) -> Wave:
    """The click as it lies in a take of this length."""
    begin = clock.begin * rate
    first, last = (min(max(0, at), length) for at in _span(click, clock, rate))
    at = (np.arange(first, last) - begin) / clock.pace
    before = np.minimum(at.astype(int), len(click) - 2)
    after = (at - before).astype(np.float32)
    laid: Wave = np.zeros(length, np.float32)
    laid[first:last] = click[before] + after * (click[before + 1] - click[before])
    return laid


def _span(click: Wave, clock: _Clock, rate: float) -> tuple[int, int]:
    """The samples of the take between which the click lies."""
    begin = clock.begin * rate
    return ceil(begin), floor(begin + (len(click) - 1) * clock.pace) + 1


def _loudness(wave: Wave | Band, rate: float) -> Wave:
    """How loud a wave is around each sample, never much softer than usual."""
    pool = max(1, round(_LOUD * rate / _POOLS))
    padded = np.pad(wave, (0, -len(wave) % pool)).reshape(-1, pool)
    sums = np.append(0.0, np.cumsum((padded.real**2 + padded.imag**2).mean(axis=1), dtype=float))
    here = np.arange(len(padded))
    ends, starts = np.minimum(here + _POOLS + 1, len(here)), np.maximum(here - _POOLS, 0)
    energy = (sums[ends] - sums[starts]) / (ends - starts)
    found = np.sqrt(energy + 0.05 * float(np.median(energy)) + 1e-30)
    return np.repeat(found.astype(np.float32), pool)[: len(wave)]


def _quick(count: int) -> int:
    """A length at least as large whose transform is quick."""
    unit = 1 << max(0, count.bit_length() - 4)
    return -(-count // unit) * unit


def _evened(heard: Spectrum, rate: float) -> Wave:
    """What makes a take equally strong at all frequencies above _LOWEST, and silent below: a
    held note must not outweigh the strokes."""
    hertz = np.arange(len(heard)) * (rate / 2 / (len(heard) - 1))
    width = max(1, int(50 * len(hertz) / (rate / 2)))
    sums = np.append(0.0, np.cumsum(np.abs(heard), dtype=float))
    ends = np.minimum(np.arange(len(heard)) + width, len(heard))
    starts = np.maximum(np.arange(len(heard)) - width, 0)
    usual = (sums[ends] - sums[starts]) / (ends - starts)
    usual = usual / max(1e-30, float(usual.max())) + 1e-4
    return np.where(hertz > _LOWEST, 1 / usual, 0.0).astype(np.float32)


def _response(heard: Wave, struck: Wave, taps: int) -> Wave:
    """The filter that makes of the click what is heard of it, by least squares."""
    step = _TRANSFORMED - taps
    a, b = (np.fft.rfft(_windows(wave, step, 0)) for wave in (struck, heard))
    alone = np.fft.rfft(_windows(struck, step, 0)[:, :step], _TRANSFORMED).conj()
    own, cross = (
        np.fft.irfft(np.einsum("bf,bf->f", alone, one))[:taps].astype(float) for one in (a, b)
    )
    own[0] *= 1.01  # holds down what the click says nothing about
    rows = np.arange(taps)
    return np.linalg.solve(own[np.abs(rows[:, None] - rows)], cross).astype(np.float32)


def _through(wave: Wave, response: Wave) -> Wave:
    """The wave through a filter."""
    before = len(response) - 1
    windows = _windows(wave, _TRANSFORMED - before, before)
    spectra = np.fft.rfft(windows) * np.fft.rfft(response, _TRANSFORMED)
    made: Wave = np.fft.irfft(spectra)[:, before:].ravel()[: len(wave)]
    return made


def _windows(wave: Wave, step: int, before: int) -> Wave:
    """(windows, _TRANSFORMED): a piece of the wave each, and so many samples before it."""
    count = -(-len(wave) // step)
    padded = np.pad(wave, (before, count * step + _TRANSFORMED - len(wave)))
    return np.lib.stride_tricks.sliding_window_view(padded, _TRANSFORMED)[::step][:count]

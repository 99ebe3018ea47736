"""How strongly a take says that a note begins: frame by frame, knowing which pitches are due.

Three things are measured. *Likeness*: how much of the spectrum lies on the harmonics of a
pitch, in a window long enough to tell neighbours apart. *Rise*: by how much those harmonics
grow around a moment. *Attack*: how suddenly anything at all grows, whatever its pitch.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.click.synth.tuning import A, hertz

Array = NDArray[np.float32]
Frames = slice | NDArray[np.int_]
Wave = NDArray[np.floating[Any]]
"""Samples, mono, -1 to 1."""

HOP = 0.005
"""Seconds from one frame to the next."""
_RATE = 22050
"""Samples a second, or up to twice as many, to which faster takes are brought down."""
_WINDOW = 0.07
"""Seconds of sound that a frame looks at: enough to tell neighbouring notes of a cello apart."""
_BANDS = 120
"""Bands, equally wide in pitch from 100 Hz up, in which sudden growth is looked for. They are
narrow so that what is new shows between the harmonics of what is already sounding."""
_GROWTH = 0.6
"""Growth of a band's energy, in e-folds within 15 ms, that vibrato and bow noise reach too."""
_BAND_FLOOR = 1e-6
"""Share of the strongest band's energy under which growth means nothing."""
_HARMONICS = 8
_HIGHEST = 5000.0
"""Hertz up to which harmonics are looked for."""
_WIDTH = 0.025
"""Half width of a harmonic as a share of its frequency: vibrato and tuning stay inside."""
_REACH = 3
"""Frames before and after a moment between which a rise is measured."""
_LOWEST_BAND = 100.0
_AGAINST = 0.7
"""Share of a rise against the pitch before that counts: that one may merely fade."""
_BLOCK = 128
"""Frames that are transformed at once: small enough to stay near the processor."""
_AT_ONCE, _FEW = 64, 12
"""Samples, and bands, that are made by one product of matrices."""


@dataclass(frozen=True, slots=True)
class OnsetStrength:
    """A take seen frame by frame; frame n is centred on `n * HOP` seconds."""

    pitches: dict[int, int]
    """MIDI key → its row below."""
    likeness: Array
    """(pitches, frames): share of the spectrum on the pitch's harmonics against the mean of the
    pitches asked for, times how loud the frame is; 0 in silence."""
    growth: Array
    """(pitches, frames): by how many e-folds its harmonics grow around the frame."""
    attack: Array
    """(frames): sudden growth of anything; 0.1 to 1.5 where a note begins."""
    attacks: Array
    """(bands, frames): the same, where in the spectrum."""

    @property
    def frames(self) -> int:
        """How many there are."""
        return len(self.attack)

    def likeness_of(self, keys: Sequence[int]) -> Array:
        """(frames): likeness of a note or double stop."""
        mean: Array = self.likeness[[self.pitches[key] for key in keys]].mean(axis=0)
        return mean

    def rise_of(self, keys: Sequence[int], before: Sequence[int]) -> Array:
        """(frames): by how much the pitches grow, in e-folds from 0 to 3.

        `before` is what sounded: what grows against it counts nearly as much.
        """
        if not keys:
            return np.zeros(self.frames, np.float32)
        rise = self._growth_of(keys)
        if before and set(before) != set(keys):
            rise = np.maximum(rise, _AGAINST * (rise - self._growth_of(before)))
        return rise.clip(0.0, 3.0)

    def rises(self, before: Sequence[int], frames: Frames) -> Array:
        """(pitches, frames): the same of each pitch alone."""
        rise = self.growth[:, frames]
        if before:
            against = np.maximum(rise, _AGAINST * (rise - self._growth_of(before)[frames]))
            if len(before) == 1:
                row = self.pitches[before[0]]
                against[row] = rise[row]
            rise = against
        return rise.clip(0.0, 3.0)

    def _growth_of(self, keys: Sequence[int]) -> Array:
        if len(keys) == 1:
            one: Array = self.growth[self.pitches[keys[0]]]
            return one
        mean: Array = self.growth[[self.pitches[key] for key in keys]].mean(axis=0)
        return mean

    def gained(self, keys: Sequence[int], first: int, last: int) -> float:
        """By how many e-folds a note or double stop grows from one frame to another."""
        steps = np.arange(first + _REACH, last, 2 * _REACH).clip(0, self.frames - 1)
        rows = [self.pitches[key] for key in keys]
        return float(self.growth[rows][:, steps].mean(axis=0).sum())


def onset_strength(samples: Wave, rate: float, keys: Iterable[int], a: float = A) -> OnsetStrength:
    """Look at a take (mono, -1 to 1) for the pitches asked for, tuned to `a` hertz."""
    rows = {key: row for row, key in enumerate(sorted(set(keys)))}
    frames = int(len(samples) / rate / HOP) + 1
    likeness = np.zeros((len(rows), frames), np.float32)
    level = np.zeros((len(rows), frames), np.float32)
    bands = np.zeros((_BANDS, frames), np.float32)
    combs = _combs(rows, rate, a)
    even = combs / np.sqrt((combs**2).sum(axis=1, keepdims=True))
    across = _across_bands(rate)
    for first, power in _power(samples, rate):
        here = slice(first, first + len(power))
        for rows_of, bins, part in across:
            bands[rows_of, here] = part @ power[:, bins].T
        low = np.sqrt(power[:, : combs.shape[1]])
        level[:, here] = combs @ low.T
        seen = np.sqrt(low)
        size = np.sqrt((seen**2).sum(axis=1)) + 1e-6
        likeness[:, here] = (even @ seen.T) / size
    top = float(level.max(initial=1e-9))
    np.log(level + top * 10 ** (-50 / 20) + 1e-9, out=level)
    likeness -= likeness.mean(axis=0)
    likeness *= _loudness(bands)
    attacks = _attacks(bands)
    return OnsetStrength(rows, likeness, _growth(level), attacks.mean(axis=0), attacks)


def slower(samples: Wave, rate: int, wanted: int | None = None) -> tuple[Array, float]:
    """Every so-manieth sample, smoothed first, and the new rate: the lowest from _RATE on, or
    the one to which a take of the rate `wanted` is brought down."""
    step = max(1, rate // _RATE)
    if wanted is not None:
        step = rate // wanted * max(1, wanted // _RATE)
    if step == 1:
        return samples.astype(np.float32), rate
    half = 16 * step
    at = np.arange(-half, half + 1)
    low = np.sinc(at / step * 0.9) * np.hanning(2 * half + 3)[1:-1]
    # One product of matrices: a row of it makes _AT_ONCE samples out of those around them.
    count, across = -(-len(samples) // step), _AT_ONCE * step
    made = np.zeros((across + 2 * half, _AT_ONCE), np.float32)
    for number in range(_AT_ONCE):
        made[number * step : number * step + len(low), number] = low / low.sum()
    rows = -(-count // _AT_ONCE)
    padded = np.zeros(rows * across + 2 * half, np.float32)
    padded[half : half + len(samples)] = samples
    windows = np.lib.stride_tricks.sliding_window_view(padded, len(made))[::across]
    return (windows @ made).ravel()[:count], rate / step


def _growth(line: Array) -> Array:
    """The line _REACH frames later less _REACH frames earlier."""
    padded = np.pad(line, ((0, 0), (_REACH, _REACH)), mode="edge")
    return padded[:, 2 * _REACH :] - padded[:, : -2 * _REACH]


def _size(rate: float) -> int:
    return 1 << (round(_WINDOW * rate) - 1).bit_length()


def _power(samples: Wave, rate: float) -> Iterator[tuple[int, Array]]:
    """(first frame, power spectra of a block of frames), each frame centred on its moment."""
    size = round(_WINDOW * rate)
    padded = np.pad(samples.astype(np.float32), (size // 2, size))
    windows = np.lib.stride_tricks.sliding_window_view(padded, size)
    shape = np.hanning(size).astype(np.float32) * np.float32(2 / size)
    frames = int(len(samples) / rate / HOP) + 1
    for first in range(0, frames, _BLOCK):
        numbers = np.arange(first, min(frames, first + _BLOCK))
        starts = np.rint(numbers * HOP * rate).astype(int)
        spectra = np.fft.rfft(windows[starts] * shape, _size(rate))
        yield first, (spectra.real**2 + spectra.imag**2).astype(np.float32, copy=False)


def _combs(rows: dict[int, int], rate: float, a: float) -> Array:
    """(pitches, bins): where each pitch has its harmonics, weaker ones less."""
    bins = int(min(_HIGHEST, rate / 2) / rate * _size(rate))
    at = np.arange(bins) * rate / _size(rate)
    found = np.zeros((len(rows), bins), np.float32)
    for key, row in rows.items():
        for number in range(1, _HARMONICS + 1):
            centre = number * hertz(key, a)
            width = max(_WIDTH * centre, 0.75 / _WINDOW)
            one = number**-0.5 * np.clip(1.2 - np.abs(at - centre) / width, 0, 1)
            found[row] = np.maximum(found[row], one)
    return found


def _across_bands(rate: float) -> list[tuple[slice, slice, Array]]:
    """(bands, bins, what makes of the bins the mean of what lies in each band), a few bands at a
    time, for most bins lie in no more than two; neighbours overlap."""
    at = np.arange(_size(rate) // 2 + 1) * rate / _size(rate)
    edges = np.geomspace(_LOWEST_BAND, 0.475 * rate, _BANDS + 1)
    centres = (edges[1:] + edges[:-1])[:, None] / 2
    widths = np.maximum(np.diff(edges), 1.5 * at[1])[:, None]
    made = np.clip(1 - np.abs(at - centres) / widths, 0, 1)
    across = (made / made.sum(axis=1, keepdims=True)).astype(np.float32)
    found = []
    for rows in (slice(first, first + _FEW) for first in range(0, _BANDS, _FEW)):
        used = np.flatnonzero(across[rows].any(axis=0))
        bins = slice(int(used[0]), int(used[-1]) + 1)
        found.append((rows, bins, across[rows, bins]))
    return found


def _attacks(bands: Array) -> Array:
    """(a third of the bands, frames): growth of what goes beyond _GROWTH."""
    floor = 2 * np.percentile(bands[:, ::7], 5, axis=1, keepdims=True)
    line = np.log(bands + floor + _BAND_FLOOR * float(bands.max()) + 1e-12).astype(np.float32)
    pairs = line[:, 1:] + line[:, :-1]
    growth = np.maximum((pairs[:, 3:] - pairs[:, :-3]) / 2 - np.float32(_GROWTH), 0)
    # From frames t-2, t-1 to t+1, t+2.
    attacks: Array = np.pad(growth.reshape(-1, 3, growth.shape[1]).mean(axis=1), ((0, 0), (2, 2)))
    return attacks


def _loudness(bands: Array) -> Array:
    """Energy of each frame from 0, near the quietest, to 1, within 12 dB of the loudest."""
    energy = bands.sum(axis=0)
    db = 10 * np.log10(energy / max(1e-12, float(np.percentile(energy, 98))) + 1e-9)
    quiet = max(-60.0, float(np.percentile(db, 2)) + 3)
    loudness: Array = np.clip((db - quiet) / max(6.0, -12.0 - quiet), 0, 1).astype(np.float32)
    return loudness

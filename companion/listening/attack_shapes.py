"""Time each note by how its attack looks, held against other notes of the same pitch.

Low bowed strings speak slowly: bow noise first, the tone up to 60 ms later. Which of the two
stands out differs from note to note, and with it the moment at which a note seems to begin.
The whole shape of the attack, band by band, is much alike in all notes of one pitch: laid over
each other they agree within a few milliseconds, and their mean is clean enough to show where it
begins to rise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.listening.onset_strength import HOP, Array

_BEFORE, _AFTER = 8, 24
"""Frames around its beginning that are the shape of an attack: its rise, and what it swells to."""
_REACH = 14
"""Frames around the moment expected in which the shape is looked for."""
_FAR, _FAR_COSTS = 4.0, 0.05
"""Frames off the moment expected, and what likeness that costs; it grows with the square."""
_FIRSTS = 6
"""Notes of a pitch that are tried as the first shape."""
_ROUNDS = 2
"""Each time the shape that the notes have in common becomes sharper."""
_LIKE = 0.4
"""Likeness from which a note counts where the mean of an attack begins to rise."""
_FOOT, _LOW_FOOT = 0.4, 0.3
"""Share of its height that a mean attack has reached there, for bow noise alone reaches that, and
shortly before. In takes to develop on it was the same moment in all pitches of violin, viola and
cello, within 7 ms."""
_SLOWLY = 3.0
"""Frames between the two from which nobody can say where it is."""
_LATER = 16
"""Frames by which the tone comes after the bow noise at most, and either after the expected."""
_OVER = 0.045
"""Seconds after which the attack of the note before is over."""
_EARLIER = 10
"""Frames before the shape in which it may begin to rise, if most of it is tone."""
_SEEN = _EARLIER + _BEFORE + _AFTER + 1
_FAINT = 0.3
"""Share of the usual strength of a pitch's attacks that is added to each: noise is like noise."""


@dataclass(frozen=True, slots=True)
class ShapedNotes:
    """Notes that were timed by the shape of their attack."""

    seconds: NDArray[np.float64]
    """At which each attack begins to rise; NaN if no other note of its pitch tells."""
    likeness: NDArray[np.float64]
    """0 to 1: how much the attack is like those of the others."""


def timed_by_shape(
    growth: Array,
    pitches: Sequence[object],
    expected: NDArray[np.float64],
    before: NDArray[np.float64],
    is_there: Sequence[bool],
) -> ShapedNotes:
    """Look for each note near the moment expected (seconds); `before` is when the one before it
    was. `growth` is (bands, frames). Only notes that are there make a shape; the others are
    looked for."""
    seconds, likeness = np.full(len(pitches), np.nan), np.zeros(len(pitches))
    reach = _REACH + _SEEN
    padded = np.pad(growth, ((0, 0), (reach, reach)))
    around = np.rint(expected / HOP).astype(int).clip(0, growth.shape[1] - 1)
    for pitch in dict.fromkeys(pitches):
        own = [n for n, one in enumerate(pitches) if one == pitch]
        there = np.array([is_there[n] for n in own])
        if there.sum() < 2:
            continue
        first = around[own] + reach - _REACH - _BEFORE - _EARLIER
        looked = np.stack([padded[:, at : at + 2 * _REACH + _SEEN] for at in first])
        at, shifts, likeness[own] = _laid_over(looked[:, :, _EARLIER:], there)
        alike = there & (likeness[own] > _LIKE)
        if alike.sum() > 1:
            lines = looked.mean(axis=1)[alike]
            laid = np.array(
                [line[by : by + _SEEN] for line, by in zip(lines, at[alike], strict=True)]
            )
            begins = around[own] + at - _REACH - _BEFORE - _EARLIER
            others = np.rint((before[own] + _OVER) / HOP) - begins
            own_part = np.arange(_SEEN) >= others[alike, None]
            rise = _foot(laid, own_part) - _BEFORE - _EARLIER
            seconds[own] = (around[own] + shifts + rise) * HOP
    return ShapedNotes(seconds, likeness)


def _foot(lines: Array, own_part: NDArray[np.bool_]) -> float:
    """The frame, not always a whole one, at which attacks begin to rise; NaN if nobody can say,
    for they swell slowly or go on from before. Both are (notes, frames)."""
    first = int(own_part.any(axis=0).argmax())
    weights = own_part[:, first : _EARLIER + _BEFORE + _LATER].astype(float)
    if not weights.size:
        return float("nan")
    line = (lines[:, first : first + weights.shape[1]] * weights).sum(axis=0)
    line /= np.maximum(weights.sum(axis=0), 1)
    top = int(line.argmax())
    since = max(0, top - _LATER)
    base = float(line[since : top + 1].min())
    low, high = (
        _reached(line[since : top + 1], base + share * (float(line[top]) - base))
        for share in (_LOW_FOOT, _FOOT)
    )
    return first + since + high if low > 0 and high - low < _SLOWLY else float("nan")


def _reached(line: Array, least: float) -> float:
    first = int((line >= least).argmax())
    if not first:
        return 0.0
    before, after = float(line[first - 1]), float(line[first])
    return first - (after - least) / (after - before + 1e-9)


def _laid_over(looked: Array, there: NDArray[np.bool_]) -> tuple[NDArray[np.intp], Array, Array]:
    """(notes): the frame at which each fits the others best, by how many frames that is later than
    expected, and how like the others it is. `looked` is (notes, bands, frames)."""
    windows = np.lib.stride_tricks.sliding_window_view(looked, _BEFORE + _AFTER + 1, axis=2)
    strength = np.cumsum(np.pad((looked**2).sum(axis=1), ((0, 0), (1, 0))), axis=1)
    strength = strength[:, -windows.shape[2] :] - strength[:, : windows.shape[2]]
    usual = float(strength[there, _REACH].mean())
    strength = np.sqrt(strength + _FAINT * usual + 1e-9)
    rows = np.arange(len(looked))
    off = np.arange(-_REACH, _REACH + 1)
    cost = _FAR_COSTS * (off / _FAR) ** 2
    # Begun with one note alone, the most usual: a mean of notes that are not yet laid over each
    # other may be of two kinds.
    firsts = np.flatnonzero(there)[:: max(1, int(there.sum()) // _FIRSTS)]
    shapes = windows[firsts, :, _REACH] / strength[firsts, _REACH][:, None, None]
    tried = np.einsum("nbdl,fbl->fnd", windows, shapes) / strength
    tried[np.arange(len(firsts)), firsts] = 0
    usual_one = tried.max(axis=2)[:, there].sum(axis=1).argmax()
    tried[usual_one, firsts[usual_one], _REACH] = 1
    at = (tried[usual_one] - cost).argmax(axis=1)
    for _ in range(_ROUNDS):
        own = windows[rows, :, at] * (there / strength[rows, at])[:, None, None]
        # Against the others alone: a note is most like itself wherever it lies.
        shape = own.sum(axis=0) - own
        shape /= np.sqrt((shape**2).sum(axis=(1, 2)) + 1e-9)[:, None, None]
        like = np.einsum("nbdl,nbl->nd", windows, shape) / strength
        at = (like - cost).argmax(axis=1)
    inner = at.clip(1, len(off) - 2)
    a, b, c = ((like - cost)[rows, inner + by] for by in (-1, 0, 1))
    fine = np.where(at == inner, (a - c) / (2 * (a - 2 * b + c) - 1e-9), 0.0)
    return at, off[at] + fine, like[rows, at]

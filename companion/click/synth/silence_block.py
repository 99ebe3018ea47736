"""Silence and numbered frames, made without letting another thread in.

The array library gives up the interpreter while it fills a new array with zeros or with
numbers, however short it is. A sound card's thread that lets go is let in again up to five
milliseconds later, and a block of sound has dozens of such moments. Copying from a sheet
that lies ready does not let go.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

_SHEET = 1 << 16
_NUMBERS = np.arange(_SHEET)
_NUMBERS.setflags(write=False)
_SILENCE = np.zeros((_SHEET, 2))
_SILENCE.setflags(write=False)
_STILL = np.zeros((_SHEET, 2), np.int16)
_STILL.setflags(write=False)


def numbered(first: int, count: int) -> NDArray[np.int_]:
    """`first`, `first + 1`, and so on, `count` of them."""
    if count > _SHEET:
        return np.arange(first, first + count)
    return _NUMBERS[:count] + first


def silence(count: int) -> NDArray[np.float64]:
    """So many frames of nothing, left and right, to be added to."""
    return np.zeros((count, 2)) if count > _SHEET else _SILENCE[:count].copy()


def silent_samples(count: int) -> NDArray[np.int16]:
    """So many samples of nothing, left and right; not to be written to."""
    return np.zeros((count, 2), np.int16) if count > _SHEET else _STILL[:count]

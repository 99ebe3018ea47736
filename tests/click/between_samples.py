"""What a loudspeaker makes of samples: the one band-limited curve through them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FINER = 4
"""As many times as ITU-R BS.1770-4, Annex 2, oversamples to find a true peak."""
_AHEAD = 4096


def true_peak(samples: NDArray[np.int16] | NDArray[np.int32], bits: int = 16) -> float:
    """The highest point of either side, between samples too, as a share of full scale.

    Each side is taken in pieces that overlap; a piece is made longer in the spectrum, which
    draws the band-limited curve exactly, and only its middle is looked at.
    """
    piece = 1 << 16
    highest = 0.0
    for side in samples.T:
        padded = np.concatenate([np.zeros(_AHEAD), side.astype(np.float64), np.zeros(2 * piece)])
        for first in range(0, len(side), piece):
            part = padded[first : first + piece + 2 * _AHEAD]
            if not part.any():
                continue
            finer = np.fft.irfft(np.fft.rfft(part), FINER * len(part)) * FINER
            highest = max(highest, np.abs(finer[FINER * _AHEAD : -FINER * _AHEAD]).max())
    return highest / 2.0 ** (bits - 1)

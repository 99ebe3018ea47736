"""Ears for tests: what can be read off samples without asking who made them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def pitch_of(wave: NDArray[np.float64], rate: int, low: float = 50.0) -> float:
    """The lowest strong partial in hertz, to some hundredths of a cent on a second of sound.

    Peak of the Hann-windowed spectrum between the two neighbours of the highest bin,
    parabola through their logarithms (J. O. Smith, Spectral Audio Signal Processing,
    "Quadratic Interpolation of Spectral Peaks", from memory).
    """
    spectrum = np.abs(np.fft.rfft(wave * np.hanning(len(wave)), 8 * len(wave)))
    step = rate / (8 * len(wave))
    strong = np.flatnonzero(spectrum > 0.3 * spectrum.max())
    first = int(strong[strong * step > low][0])
    peak = first + int(np.argmax(spectrum[first : first + int(30 / step)]))
    left, top, right = np.log(spectrum[peak - 1 : peak + 2])
    return float((peak + (left - right) / (2 * (left - 2 * top + right))) * step)


def true_peak(samples: NDArray[np.int16]) -> float:
    """The highest value a converter draws, in dB of full scale.

    Four times oversampled, as ITU-R BS.1770-4 Annex 2 measures it (from memory), here with
    an exact band-limited interpolation through the spectrum of the whole excerpt.
    """
    highest = 0.0
    for channel in samples.T.astype(np.float64) / 32768:
        count = len(channel)
        spectrum = np.fft.rfft(channel)
        padded = np.zeros(2 * count + 1, complex)
        padded[: len(spectrum)] = spectrum
        highest = max(highest, float(np.abs(np.fft.irfft(padded, 4 * count) * 4).max()))
    return 20 * np.log10(highest) if highest else -np.inf


def begins(samples: NDArray[np.int16], silence: int = 480) -> list[int]:
    """Frames at which sound begins after at least so many frames of silence."""
    sounding = np.flatnonzero(samples.any(axis=1))
    before = np.diff(sounding, prepend=-silence - 1)
    return [int(frame) for frame in sounding[before > silence]]

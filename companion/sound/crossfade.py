"""Joining two sounds so that nothing clicks.

A loudspeaker told to jump from one value to another ticks, and a tick next to a
metronome's stroke is a wrong stroke. Where sound is cut it is therefore faded,
over a few milliseconds and in a straight line; where there is nothing to hide
(silence, or the same music on both sides) not one sample is changed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FADE_SECONDS = 0.005
"""Long enough that no tick is heard, too short to be heard as a fade."""

Samples = NDArray[np.int16]


def fade_frames(rate: int) -> int:
    """The length of a fade in frames."""
    return max(1, round(FADE_SECONDS * rate))


def fading_out(samples: Samples) -> NDArray[np.float64]:
    """The samples brought from full strength to nothing; as they are if they start in silence."""
    if not samples[:1].any():
        return np.zeros(samples.shape)
    return samples * (1.0 - _slope(len(samples)))


def fading_in(samples: Samples) -> NDArray[np.float64]:
    """The samples brought from nothing to full strength.

    Samples that start from silence are an attack of their own and stay as they are:
    softening them would blur the stroke.
    """
    if not samples[:1].any():
        return samples.astype(np.float64)
    return samples * _slope(len(samples))


def crossfade(old: Samples, new: Samples, *, soften: bool) -> Samples:
    """What to play where `old` would have gone on and `new` takes its place.

    Both have the same number of frames. Without `soften` the new sound enters at full
    strength, as the beginning of a source must.
    """
    if np.array_equal(old, new):
        return new
    mixed = fading_out(old) + (fading_in(new) if soften else new)
    return to_samples(mixed)


def to_samples(mixed: NDArray[np.float64]) -> Samples:
    """Rounded to 16 bits and held within their range."""
    return np.clip(np.rint(mixed), -32768, 32767).astype(np.int16)


def _slope(count: int) -> NDArray[np.float64]:
    """0 at the first frame, rising to 1 at the frame after the last."""
    return (np.arange(count) / max(count, 1))[:, np.newaxis]

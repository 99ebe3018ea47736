"""Finding the strokes in a sound file by listening: where does silence end?"""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

HUSH = 0.002
"""Seconds of exact silence before something counts as a new stroke."""


def heard(path: Path) -> tuple[NDArray[np.int16], int]:
    """The (frames, 2) samples of a WAV file and its rate."""
    with wave.open(str(path), "rb") as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getcomptype()) == (2, 2, "NONE")
        data = file.readframes(file.getnframes())
        return np.frombuffer(data, "<i2").reshape(-1, 2).astype(np.int16), file.getframerate()


def onsets(samples: NDArray[np.int16], rate: int) -> list[int]:
    """Frames at which a sound begins after silence."""
    sounding = np.nonzero(samples.any(axis=1))[0]
    if not len(sounding):
        return []
    gaps = np.diff(sounding, prepend=-rate)
    return [int(at) for at in sounding[gaps > HUSH * rate]]


def onsets_in(path: Path) -> list[int]:
    """Frames at which a stroke begins in a WAV file."""
    return onsets(*heard(path))


def onsets_of_long(path: Path, block: int = 1 << 20) -> Iterator[int]:
    """Frames at which a stroke begins in a WAV file of any length, read a block at a time."""
    with wave.open(str(path), "rb") as file:
        hush = HUSH * file.getframerate()
        first, last = 0, -file.getframerate()
        while data := file.readframes(block):
            samples = np.frombuffer(data, "<i2").reshape(-1, file.getnchannels())
            sounding = first + np.nonzero(samples.any(axis=1))[0]
            gaps = np.diff(sounding, prepend=last)
            yield from (int(at) for at in sounding[gaps > hush])
            first += len(samples)
            last = int(sounding[-1]) if len(sounding) else last

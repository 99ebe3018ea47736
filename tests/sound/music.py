"""Sources to play in tests: noise, so that one frame too many or too few shows."""

from __future__ import annotations

import threading

import numpy as np
from numpy.typing import NDArray

from companion.sound.sound_source import Rendered, Source

RATE = 48000
Samples = NDArray[np.int16]


def noise(frames: int, seed: int, loop_from: int | None = None) -> Rendered:
    """Stereo noise in which no sample is zero, so that silence can be told from it."""
    drawn = np.random.default_rng(seed).integers(1000, 20000, (frames, 2))
    signs = np.random.default_rng(seed + 1).choice([-1, 1], (frames, 2))
    return Rendered((drawn * signs).astype(np.int16), RATE, loop_from)


class Around:
    """A source that passes on another one; the tests' sources say what they change."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.rate = source.rate
        self.length = source.length

    def read(self, first: int, count: int) -> Samples:
        return self.source.read(first, count)


class Broken(Around):
    """Cannot be read from frame `at` on."""

    def __init__(self, source: Source, at: int) -> None:
        super().__init__(source)
        self.at = at

    def read(self, first: int, count: int) -> Samples:
        if first + count > self.at:
            raise OSError("the page is torn")
        return super().read(first, count)


class Short(Around):
    """Gives one frame less than it is asked for."""

    def read(self, first: int, count: int) -> Samples:
        return super().read(first, count - 1)


class Gated(Around):
    """Lets no frame from `at` on through until the gate is opened.

    A card that keeps no time would be at the end before a test has said "pause"; held
    at the gate, it takes every order given meanwhile at the same block.
    """

    def __init__(self, source: Source, at: int) -> None:
        super().__init__(source)
        self.at = at
        self.reached = threading.Event()
        self.opened = threading.Event()

    def read(self, first: int, count: int) -> Samples:
        if first + count > self.at and not self.opened.is_set():
            self.reached.set()
            self.opened.wait(10)
        return super().read(first, count)

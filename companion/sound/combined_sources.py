"""Several sources as one, in balance, with a way to turn each on and off.

Added up carelessly, four sources at full strength overflow sixteen bits and crackle
loudest where the music is loudest. So every channel says how far it can reach, and where
all of them together (also those that are off just now) would come within a decibel of
full scale, all are taken down by one factor. Turning one on or off therefore never
changes how loud another is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.layers import CEILING
from companion.click.synth.silence_block import silence, silent_samples
from companion.sound.sound_source import Source


@dataclass(frozen=True, slots=True, eq=False)
class MixChannel:
    """One source in a mix."""

    name: str
    """By which it is turned on and off."""
    source: Source
    reach: float
    """The most it can be, between its samples too, as a share of full scale."""
    gain: float = 1.0
    is_on: bool = True


class SourceMix:
    """Channels of one rate, added. Immutable; read it from any thread."""

    def __init__(self, channels: Iterable[MixChannel]) -> None:
        """The first channel gives rate and length. Raises ValueError for none or unequal rates."""
        self.channels = tuple(channels)
        if len({channel.source.rate for channel in self.channels}) != 1:
            raise ValueError("a mix needs channels, all of one rate")
        lead = self.channels[0].source
        self.rate = lead.rate
        self.length = lead.length
        together = sum(channel.reach * channel.gain for channel in self.channels)
        self._factor = min(1.0, CEILING / together) if together else 1.0

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2); silence after the end."""
        heard = [(s.source, s.gain * self._factor) for s in self.channels if s.is_on and s.gain]
        if len(heard) == 1 and heard[0][1] == 1.0:
            return heard[0][0].read(first, count)
        mixed = silence(count)
        for source, gain in heard:
            mixed += source.read(first, count) * gain
        if self.length is not None:
            mixed[max(0, self.length - first) :] = 0
        samples: NDArray[np.int16] = np.rint(mixed).astype(np.int16)
        return samples


# Music entered in its middle, after a count-in of its own.


@dataclass(frozen=True, slots=True, eq=False)
class CountInSource:
    """A count-in, then another source from one of its frames on. Immutable."""

    lead: NDArray[np.int16]
    """The count-in, shape (n, 2); nobody writes into it any more."""
    music: Source
    at: int
    """The frame of the music that follows the last one of the count-in."""

    @property
    def rate(self) -> int:
        """Frames a second."""
        return self.music.rate

    @property
    def length(self) -> int | None:
        """Frames in all; None when the music never ends."""
        end = self.music.length
        return None if end is None else len(self.lead) + max(0, end - self.at)

    def music_frame(self, frame: int) -> int:
        """The frame of the music at a frame of ours; before `at` while still counting in."""
        return frame - len(self.lead) + self.at

    def frame(self, music_frame: int) -> int:
        """Our frame at which a frame of the music sounds, not before the music begins."""
        return max(len(self.lead), music_frame - self.at + len(self.lead))

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on; silence before the count-in."""
        last = first + count
        if first >= len(self.lead):
            return self.music.read(self.music_frame(first), count)
        before = silent_samples(max(0, min(0, last) - first))
        counted = self.lead[max(0, first) : max(0, last)]
        after = self.music.read(self.at, max(0, last - len(self.lead)))
        return np.concatenate([before, counted, after])

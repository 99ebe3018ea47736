"""What a player plays: stretches of stereo sound that can be read at any frame.

A player asks for frames by number, from a thread of its own, a few dozen times a
second. If sound had a cursor ("give me the next block"), two readers would steal
frames from each other and going back would mean rendering again. So a source is
immutable and has no position: who reads it keeps the count.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from companion.sound.sound_error import SoundError


class Source(Protocol):
    """An immutable stretch of stereo sound, 16 bits a sample."""

    @property
    def rate(self) -> int:
        """Frames a second."""
        ...

    @property
    def length(self) -> int | None:
        """How many frames it lasts; None when it never ends."""
        ...

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2); silence outside the sound.

        Pure, cheap, and callable from any thread. What comes back may be a view that
        cannot be written to.
        """
        ...


def piece(source: Source, first: int, count: int) -> NDArray[np.int16]:
    """What a source gives; SoundError where that is not what was asked of it."""
    samples = source.read(first, count)
    if samples.shape != (count, 2) or samples.dtype != np.int16:
        given = f"{samples.dtype} of shape {samples.shape}"
        raise SoundError(f"Asked for {count} frames of sound, the source gave {given}")
    return samples


@dataclass(frozen=True, slots=True, eq=False)
class Rendered:
    """Sound that is already there in full, played once or going round.

    With `loop_from` a count-in is heard once and the passage after it for ever:
    0 1 2 3 | 4 5 6 7 | 4 5 6 7 | … for eight frames and `loop_from=4`. Frames are
    counted without folding, so the fourth time round can be told from the first.
    """

    samples: NDArray[np.int16]
    """Shape (n, 2): left and right. A writable array is copied, so that nobody can
    change it while it sounds; a read-only one is taken as it is."""
    rate: int
    """Frames a second."""
    loop_from: int | None = None
    """The frame that follows the last one; None plays once."""

    def __post_init__(self) -> None:
        """Refuse what cannot be played, and keep the samples from changing."""
        if self.samples.dtype != np.int16 or self.samples.ndim != 2 or self.samples.shape[1] != 2:
            shape = f"{self.samples.dtype} {self.samples.shape}"
            raise ValueError(f"samples must be int16 of shape (n, 2), not {shape}")
        if self.loop_from is not None and not 0 <= self.loop_from < len(self.samples):
            raise ValueError(
                f"no frame {self.loop_from} to loop from in {len(self.samples)} frames"
            )
        if self.samples.flags.writeable:
            kept = self.samples.copy()
            kept.setflags(write=False)
            object.__setattr__(self, "samples", kept)

    @property
    def length(self) -> int | None:
        """Frames when played once, None when it goes round."""
        return len(self.samples) if self.loop_from is None else None

    def place(self, frame: int) -> int:
        """The index into `samples` of an absolute frame, folded into the loop.

        Before the start it is 0. Past the end of sound that plays once it is the number
        of samples, one after the last: the place where a playhead comes to rest.
        """
        count = len(self.samples)
        if frame < count:
            return max(frame, 0)
        if self.loop_from is None:
            return count
        return self.loop_from + (frame - self.loop_from) % (count - self.loop_from)

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from absolute frame `first` on; silence outside the sound."""
        if count < 0:
            raise ValueError(f"cannot read {count} frames")
        if first < 0:
            before = min(count, -first)
            return np.concatenate([_silence(before), self.read(0, count - before)])
        start = self.place(first)
        if start + count <= len(self.samples):
            return self.samples[start : start + count]
        rest = count - (len(self.samples) - start)
        return np.concatenate([self.samples[start:], self._onwards(rest)])

    def _onwards(self, count: int) -> NDArray[np.int16]:
        """What follows the last sample."""
        if self.loop_from is None:
            return _silence(count)
        around = self.samples[self.loop_from :]
        return around[:count] if count <= len(around) else np.resize(around, (count, 2))


def _silence(count: int) -> NDArray[np.int16]:
    return np.zeros((count, 2), dtype=np.int16)

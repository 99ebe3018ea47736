"""Music entered in its middle, after a count-in of its own.

A player who stumbled in bar 97 wants to go on from bar 96, counted in, not from the
beginning of the passage. The counting is a short piece of sound by itself; after its last
frame the music goes on as if it had been playing all the while.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from companion.click.blank import still
from companion.sound.source import Source


@dataclass(frozen=True, slots=True, eq=False)
class Entered:
    """A count-in, then another source from one of its frames on. Immutable."""

    lead: NDArray[np.int16]
    """The count-in, shape (n, 2); nobody writes into it any more."""
    music: Source
    """What follows."""
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
        before = still(max(0, min(0, last) - first))
        counted = self.lead[max(0, first) : max(0, last)]
        after = self.music.read(self.at, max(0, last - len(self.lead)))
        return np.concatenate([before, counted, after])

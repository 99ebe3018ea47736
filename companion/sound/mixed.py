"""Several sources as one, in balance, with a way to turn each on and off.

Added up carelessly, four sources at full strength overflow sixteen bits and crackle
loudest where the music is loudest. So every stem says how far it can reach, and where
all of them together (also those that are off just now) would come within a decibel of
full scale, all are taken down by one factor. Turning one on or off therefore never
changes how loud another is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from companion.click.blank import silence
from companion.click.mix import CEILING
from companion.sound.source import Source


@dataclass(frozen=True, slots=True, eq=False)
class Stem:
    """One source in a mix."""

    name: str
    """By which it is turned on and off."""
    source: Source
    """What sounds."""
    reach: float
    """The most it can be, between its samples too, as a share of full scale."""
    gain: float = 1.0
    """How strongly it is wanted."""
    is_on: bool = True
    """Whether it sounds."""


class Mixed:
    """Stems of one rate, added. Immutable; read it from any thread."""

    def __init__(self, stems: Iterable[Stem]) -> None:
        """The first stem gives rate and length. Raises ValueError for none or unequal rates."""
        self.stems = tuple(stems)
        if len({stem.source.rate for stem in self.stems}) != 1:
            raise ValueError("a mix needs stems, all of one rate")
        lead = self.stems[0].source
        self.rate = lead.rate
        self.length = lead.length
        together = sum(stem.reach * stem.gain for stem in self.stems)
        self._factor = min(1.0, CEILING / together) if together else 1.0

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2); silence after the end."""
        heard = [(s.source, s.gain * self._factor) for s in self.stems if s.is_on and s.gain]
        if len(heard) == 1 and heard[0][1] == 1.0:
            return heard[0][0].read(first, count)
        mixed = silence(count)
        for source, gain in heard:
            mixed += source.read(first, count) * gain
        if self.length is not None:
            mixed[max(0, self.length - first) :] = 0
        samples: NDArray[np.int16] = np.rint(mixed).astype(np.int16)
        return samples

    def switched(self, **states: bool) -> Mixed:
        """The same mix with some stems turned on or off, by name."""
        return Mixed(replace(s, is_on=states.get(s.name, s.is_on)) for s in self.stems)

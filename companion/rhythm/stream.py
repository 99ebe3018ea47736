"""What each part really sounds, on one common grid: the plain input of every analysis.

Times are whole *grains* of the shared clock, so that comparing two parts is comparing
integers, whatever their meters. Tied notes are one sound; rests are what lies between.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from companion.rhythm.meter import Meter


class Sound(NamedTuple):
    """One note as heard, its ties counted in."""

    at: int
    """Grains from the beginning of the score."""
    length: int
    """Grains it is held."""
    pitch: int | None
    """Sounding pitch in semitones, middle C = 60 (MIDI's numbering); None where unpitched."""
    bar: int
    """Ordinal position of the bar it begins in."""
    is_accented: bool
    """Whether it carries an accent of any kind."""

    @property
    def end(self) -> int:
        """Grain at which it stops."""
        return self.at + self.length


class Span(NamedTuple):
    """A bar on the grid."""

    number: int
    """Ordinal position, from 1."""
    start: int
    """Grain of its left barline."""
    length: int
    """Grains to its right barline."""
    lead: int
    """Grains missing before its start where it is a pickup, else 0."""

    @property
    def end(self) -> int:
        """Grain of its right barline."""
        return self.start + self.length


@dataclass(frozen=True)
class Stream:
    """One part's sounds in order of time, chords from low to high."""

    part: str
    """Id of the part."""
    sounds: tuple[Sound, ...]
    """Every sound of the part."""
    meters: tuple[Meter | None, ...]
    """Its meter in each bar of the score."""
    own_bars: tuple[Span, ...]
    """Its own bars; the score's where barlines coincide."""
    own_meters: tuple[Meter | None, ...]
    """Its meter in each of its own bars."""

    @cached_property
    def strikes(self) -> tuple[int, ...]:
        """Grains at which something begins, each once."""
        return tuple(sorted({sound.at for sound in self.sounds}))

    @cached_property
    def melody(self) -> tuple[Sound, ...]:
        """The highest sound at each strike."""
        highest: dict[int, Sound] = {}
        for sound in self.sounds:
            kept = highest.get(sound.at)
            if kept is None or (sound.pitch or 0) >= (kept.pitch or 0):
                highest[sound.at] = sound
        return tuple(highest[at] for at in sorted(highest))

    def strikes_between(self, first: int, last: int) -> tuple[int, ...]:
        """Strikes from `first` up to but not including `last`."""
        return self.strikes[bisect_left(self.strikes, first) : bisect_left(self.strikes, last)]


@dataclass(frozen=True)
class Texture:
    """All parts of a score on the grid."""

    streams: tuple[Stream, ...]
    """From the top of the page."""
    bars: tuple[Span, ...]
    """Every bar of the score in order."""
    grain: Fraction
    """Clock time (felt beats at the tempo of the first bar) that one grain lasts."""

    def bar_at(self, at: int) -> Span:
        """The bar in which a grain lies (the last one after the end)."""
        return self.bars[max(0, bisect_right(self.bars, at, key=lambda bar: bar.start) - 1)]

    def of(self, part: str) -> Stream:
        """The stream of a part's id. Raises KeyError where there is none."""
        for stream in self.streams:
            if stream.part == part:
                return stream
        raise KeyError(part)

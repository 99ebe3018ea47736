"""What a click can be made of: its layers, and how each one is heard.

Each layer has its own voice, place between the ears and loudness, kept in one table
so that the sound and the MIDI file can never disagree about what a layer is.

The levels are peaks as shares of full scale, set so that a beat, a stroke of mine and one
of theirs carry about the same energy as the ear weighs it (A curve). They begin quiet: a
single stroke at −13 dBFS at most, the default layers together under −6. More of them than
there is room for are made quieter all alike (`mix.py`), so nothing ever has to be limited
or clipped. How loud that is at the ear no program can know: start low, turn up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TypeVar

from companion.click.beats import Weight
from companion.click.bodies import BODIES


class Layer(StrEnum):
    """One kind of stroke."""

    BEAT = "beat"
    """The felt beats of my part; the first of each bar stronger."""
    DIVISION = "division"
    """The natural pulses of my meter, everywhere: eighths in 6/8."""
    MINE = "mine"
    """In a conflict: the division of my side."""
    THEIRS = "theirs"
    """In a conflict: the division of the other side."""
    RESULTANT = "resultant"
    """In a conflict: both sides as one rhythm."""
    BAR = "bar"
    """The first of each of my bars, and nothing else."""
    COINCIDENCE = "coincidence"
    """In a conflict: where both sides meet, and nothing else."""
    RHYTHM = "rhythm"
    """What is written in my part."""


@dataclass(frozen=True, slots=True, order=True)
class PartRhythm:
    """The layer of what is written in another part."""

    part: int
    """Index of the part, from 0."""
    name: str
    """As printed."""

    @property
    def value(self) -> str:
        """`rhythm:Cello`."""
        return f"{Layer.RHYTHM.value}:{self.name}"


Strand = Layer | PartRhythm
"""One layer of a click, another part's rhythm included."""
SomeStrand = TypeVar("SomeStrand", bound=Strand)

DEFAULT = (Layer.BEAT, Layer.MINE, Layer.THEIRS)
"""The beat everywhere, and both sides where they pull."""


@dataclass(frozen=True, slots=True)
class Dress:
    """How one layer is heard."""

    voice: str
    """Name of its sound in `bodies.py`."""
    accented_voice: str
    """Name of the sound of its strokes that are the first of a bar, or meetings."""
    level: float
    """Peak of a plain stroke, as a share of full scale."""
    accented_level: float
    """Peak of a stroke that stands out, as a share of full scale."""
    place: float
    """−1 left, 0 centre, 1 right. The farther side still hears 1 − |place| of it, so that
    a player with one ear on the click loses no layer."""

    @property
    def key(self) -> int:
        """Percussion key on channel 10."""
        return BODIES[self.voice].key

    def sounds(self, weight: Weight) -> tuple[str, float]:
        """(voice, peak) of a stroke; the beginning of a group keeps the plain voice."""
        voice = self.accented_voice if weight is Weight.FIRST else self.voice
        return voice, self.accented_level if weight else self.level


_SIDE = 0.75
_NEAR = 0.4

DRESS: Mapping[Layer, Dress] = MappingProxyType(
    {
        Layer.BEAT: Dress("low block", "high block", 0.14, 0.20, 0.0),
        Layer.DIVISION: Dress("tick", "tick", 0.06, 0.08, 0.0),
        Layer.MINE: Dress("stick", "stick", 0.10, 0.13, -_SIDE),
        Layer.THEIRS: Dress("skin", "skin", 0.18, 0.22, _SIDE),
        Layer.RESULTANT: Dress("rattle", "rattle", 0.14, 0.18, 0.0),
        Layer.BAR: Dress("board", "board", 0.16, 0.20, 0.0),
        Layer.COINCIDENCE: Dress("cup", "cup", 0.12, 0.15, 0.0),
        Layer.RHYTHM: Dress("shell", "shell", 0.12, 0.15, -_NEAR),
    }
)
"""How a layer is heard unless a player wants it otherwise."""

_PART_VOICES = ("gourd", "cane", "pebble")
"""Other parts take these in turn, by their place on the page."""
_PART_LEVELS = {"gourd": 0.14, "cane": 0.16, "pebble": 0.08}


def dress_of(strand: Strand) -> Dress:
    """How a layer is heard unless a player wants it otherwise."""
    if isinstance(strand, Layer):
        return DRESS[strand]
    voice = _PART_VOICES[strand.part % len(_PART_VOICES)]
    return Dress(voice, voice, _PART_LEVELS[voice], _PART_LEVELS[voice], _NEAR)


def in_order(layers: Iterable[SomeStrand]) -> tuple[SomeStrand, ...]:
    """Each layer once, in the order of `Layer`, then other parts from the top of the page."""
    return tuple(sorted(set(layers), key=rank))


_RANKS = {layer: number for number, layer in enumerate(Layer)}


def rank(strand: Strand) -> int:
    """Where a layer stands in that order."""
    return _RANKS[strand] if isinstance(strand, Layer) else len(_RANKS) + strand.part

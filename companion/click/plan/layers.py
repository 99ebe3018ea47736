"""What a click can be made of: its layers, and how each one is heard.

Each layer has its own voice, place between the ears and loudness, kept in one table
so that the sound and the MIDI file can never disagree about what a layer is.

The levels are peaks as shares of full scale, set so that a beat, a stroke of mine and one
of theirs carry about the same energy as the ear weighs it (A curve). They begin quiet: a
single stroke at −13 dBFS at most, the default layers together under −6. More of them than
there is room for are made quieter all alike (`layer_sounds.headroom`), so nothing ever has
to be limited or clipped. How loud that is at the ear no program can know: start low, turn up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TypeVar

from companion.click.plan.beats import Weight
from companion.click.plan.percussion import PERCUSSION
from companion.errors import RequestError


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
    PERIOD = "period"
    """Where the groups of a hemiola, a grouping or a displacement of mine begin; of the others
    if I have none."""
    TRIPLET = "triplet"
    """Dotted against triplet: the short note with the triplet, in all layers of a conflict."""
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


AnyLayer = Layer | PartRhythm
"""One layer of a click, another part's rhythm included."""
SomeLayer = TypeVar("SomeLayer", bound=AnyLayer)

DEFAULT = (Layer.BEAT, Layer.MINE, Layer.THEIRS)
"""The beat everywhere, and both sides where they pull."""


@dataclass(frozen=True, slots=True)
class LayerSound:
    """How one layer is heard."""

    voice: str
    """Name of its sound in `percussion.py`."""
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
        return PERCUSSION[self.voice].key

    def sounds(self, weight: Weight) -> tuple[str, float]:
        """(voice, peak) of a stroke; the beginning of a group keeps the plain voice."""
        voice = self.accented_voice if weight is Weight.FIRST else self.voice
        return voice, self.accented_level if weight else self.level


_SIDE = 0.75
_NEAR = 0.4

USUAL_SOUNDS: Mapping[Layer, LayerSound] = MappingProxyType(
    {
        Layer.BEAT: LayerSound("low block", "high block", 0.14, 0.20, 0.0),
        Layer.DIVISION: LayerSound("tick", "tick", 0.06, 0.08, 0.0),
        Layer.MINE: LayerSound("stick", "stick", 0.10, 0.13, -_SIDE),
        Layer.THEIRS: LayerSound("skin", "skin", 0.18, 0.22, _SIDE),
        Layer.RESULTANT: LayerSound("rattle", "rattle", 0.14, 0.18, 0.0),
        Layer.BAR: LayerSound("board", "board", 0.16, 0.20, 0.0),
        Layer.COINCIDENCE: LayerSound("cup", "cup", 0.12, 0.15, 0.0),
        Layer.PERIOD: LayerSound("triangle", "triangle", 0.08, 0.10, _NEAR),
        Layer.TRIPLET: LayerSound("reed", "reed", 0.10, 0.12, 0.0),
        Layer.RHYTHM: LayerSound("shell", "shell", 0.12, 0.15, -_NEAR),
    }
)
"""How a layer is heard unless a player wants it otherwise."""

_PART_VOICES = ("gourd", "cane", "pebble")
"""Other parts take these in turn, by their place on the page."""
_PART_LEVELS = {"gourd": 0.14, "cane": 0.16, "pebble": 0.08}


def usual_layer_sound(layer: AnyLayer) -> LayerSound:
    """How a layer is heard unless a player wants it otherwise."""
    if isinstance(layer, Layer):
        return USUAL_SOUNDS[layer]
    voice = _PART_VOICES[layer.part % len(_PART_VOICES)]
    return LayerSound(voice, voice, _PART_LEVELS[voice], _PART_LEVELS[voice], _NEAR)


def in_order(layers: Iterable[SomeLayer]) -> tuple[SomeLayer, ...]:
    """Each layer once, in the order of `Layer`, then other parts from the top of the page."""
    return tuple(sorted(set(layers), key=rank))


_RANKS = {layer: number for number, layer in enumerate(Layer)}


def rank(layer: AnyLayer) -> int:
    """Where a layer stands in that order."""
    return _RANKS[layer] if isinstance(layer, Layer) else len(_RANKS) + layer.part


# What a player wants changed in how layers are heard, and what then fits under the ceiling.


CEILING = 10 ** (-1 / 20) - 0.02
"""What all layers together may reach, as a share of full scale: −1 dBFS, with a little over
for whole numbers and for strokes that damp each other."""
LOUDEST = 2.0
"""The most that a layer can be raised."""


@dataclass(frozen=True, slots=True)
class LayerChoice:
    """How one layer is to be heard, where a player wants it otherwise."""

    layer: AnyLayer
    is_on: bool = True
    level: float = 1.0
    """Of its usual level: 0 to 2."""
    voice: str = ""
    """Another sound from `percussion.py`; empty for its own."""
    place: float | None = None
    """Another place, −1 left to 1 right; None for its own."""

    def __post_init__(self) -> None:
        if not 0 <= self.level <= LOUDEST:
            raise RequestError(f"a level of {self.level:g} is not possible", next="Choose 0 to 2.")
        if self.voice and self.voice not in PERCUSSION:
            raise RequestError(
                f"there is no voice “{self.voice}”", next=f"Choose from {', '.join(PERCUSSION)}."
            )
        if self.place is not None and not -1 <= self.place <= 1:
            raise RequestError(
                f"a place of {self.place:g} is not possible", next="Choose −1 (left) to 1 (right)."
            )


@dataclass(frozen=True, slots=True)
class Mix:
    """How all layers are to be heard; those not named as the table has them."""

    choices: tuple[LayerChoice, ...] = ()
    """Each layer at most once."""
    ceiling: float = CEILING
    """What they may reach together; less where others play along."""

    def choice(self, layer: AnyLayer) -> LayerChoice:
        """What is wanted of a layer."""
        return next((one for one in self.choices if one.layer == layer), LayerChoice(layer))

    def is_on(self, layer: AnyLayer) -> bool:
        """Whether a layer sounds at all."""
        choice = self.choice(layer)
        return choice.is_on and choice.level > 0


def layer_sound_in(mix: Mix, layer: AnyLayer) -> LayerSound:
    """How a layer is heard in a mix, before room is made for the others."""
    choice, usual = mix.choice(layer), usual_layer_sound(layer)
    return LayerSound(
        choice.voice or usual.voice,
        choice.voice or usual.accented_voice,
        usual.level * choice.level,
        usual.accented_level * choice.level,
        usual.place if choice.place is None else choice.place,
    )

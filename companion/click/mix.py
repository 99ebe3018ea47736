"""What a player wants changed in how layers are heard, and what then fits under the ceiling.

Loudness is settled before anything sounds, from the highest point every voice can reach,
between samples too. So nothing has to be limited while it plays, and the layers of a
click never change each other's sound from one stroke to the next.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from companion.click.beats import Weight
from companion.click.bodies import BODIES
from companion.click.layers import Dress, Strand, dress_of
from companion.errors import RequestError

CEILING = 10 ** (-1 / 20) - 0.02
"""What all layers together may reach, as a share of full scale: −1 dBFS, with a little over
for whole numbers and for strokes that damp each other."""
LOUDEST = 2.0
"""The most that a layer can be raised."""


@dataclass(frozen=True, slots=True)
class LayerChoice:
    """How one layer is to be heard, where a player wants it otherwise."""

    layer: Strand
    """Which one."""
    is_on: bool = True
    """Whether it sounds."""
    level: float = 1.0
    """Of its usual level: 0 to 2."""
    voice: str = ""
    """Another sound from `bodies.py`; empty for its own."""
    place: float | None = None
    """Another place, −1 left to 1 right; None for its own."""

    def __post_init__(self) -> None:
        if not 0 <= self.level <= LOUDEST:
            raise RequestError(f"a level of {self.level:g} is not possible", next="Choose 0 to 2.")
        if self.voice and self.voice not in BODIES:
            raise RequestError(
                f"there is no voice “{self.voice}”", next=f"Choose from {', '.join(BODIES)}."
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

    def choice(self, strand: Strand) -> LayerChoice:
        """What is wanted of a layer."""
        return next((one for one in self.choices if one.layer == strand), LayerChoice(strand))

    def is_on(self, strand: Strand) -> bool:
        """Whether a layer sounds at all."""
        choice = self.choice(strand)
        return choice.is_on and choice.level > 0


def with_choice(mix: Mix, choice: LayerChoice) -> Mix:
    """The mix with another choice for one layer."""
    others = tuple(one for one in mix.choices if one.layer != choice.layer)
    return replace(mix, choices=(*others, choice))


def switched(mix: Mix, strand: Strand, *, is_on: bool) -> Mix:
    """The mix with one layer switched on or off, its other settings kept."""
    return with_choice(mix, replace(mix.choice(strand), is_on=is_on))


def dressed(mix: Mix, strand: Strand) -> Dress:
    """How a layer is heard in a mix, before room is made for the others."""
    choice, usual = mix.choice(strand), dress_of(strand)
    return Dress(
        choice.voice or usual.voice,
        choice.voice or usual.accented_voice,
        usual.level * choice.level,
        usual.accented_level * choice.level,
        usual.place if choice.place is None else choice.place,
    )


def room(mix: Mix, strands: Iterable[Strand], rate: int) -> float:
    """By how much all layers must be turned down, so that together they stay under the ceiling.

    1 where there is room as it is: for beat, division, mine, theirs and resultant together.
    """
    from companion.click.voices import true_peak

    ears = [0.0, 0.0]
    for strand in (strand for strand in strands if mix.is_on(strand)):
        dress = dressed(mix, strand)
        highest = max(level * true_peak(voice, rate) for voice, level in map(dress.sounds, Weight))
        ears[0] += highest * min(1.0, 1 - dress.place)
        ears[1] += highest * min(1.0, 1 + dress.place)
    return min(1.0, mix.ceiling / max(ears)) if max(ears) else 1.0

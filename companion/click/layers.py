"""What a click can be made of: its layers, in words a player can type.

Each layer has its own voice, place between the ears and loudness, kept in one table
so that the sound and the MIDI file can never disagree about what a layer is.

The levels are peaks as shares of full scale, set so that a beat, a stroke of mine and one
of theirs carry about the same energy as the ear weighs it (A curve). They begin quiet (a
single stroke at −13 dBFS at most, default layers together under −6) and all layers at
once, each at its loudest, stay under −1 dBFS by plain addition, so nothing ever has to be
limited or clipped. How loud that is at the ear no program can know: start low, turn up.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

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


DEFAULT = (Layer.BEAT, Layer.MINE, Layer.THEIRS)
"""The beat everywhere, and both sides where they pull."""

BOTH = "both"
"""Short for `mine,theirs`."""


@dataclass(frozen=True, slots=True)
class Dress:
    """How one layer is heard."""

    voice: str
    """Name of its sound in `voices.py`."""
    accented_voice: str
    """Name of the sound of its accented strokes."""
    level: float
    """Peak of a plain stroke, as a share of full scale."""
    accented_level: float
    """Peak of an accented stroke, as a share of full scale."""
    place: float
    """−1 left, 0 centre, 1 right. The farther side still hears 1 − |place| of it, so that
    a player with one ear on the click loses no layer."""
    key: int
    """Percussion key on channel 10."""


_SIDE = 0.75

DRESS: Mapping[Layer, Dress] = MappingProxyType(
    {
        Layer.BEAT: Dress("low block", "high block", 0.14, 0.20, 0.0, 76),
        Layer.DIVISION: Dress("tick", "tick", 0.06, 0.08, 0.0, 42),
        Layer.MINE: Dress("stick", "stick", 0.10, 0.13, -_SIDE, 75),
        Layer.THEIRS: Dress("skin", "skin", 0.18, 0.22, _SIDE, 77),
        Layer.RESULTANT: Dress("rattle", "rattle", 0.14, 0.18, 0.0, 37),
    }
)
"""Keys are of the General MIDI 1 percussion map, which covers 35–81: 37 side stick is
as the map prints it; 42 closed hi-hat, 75 claves, 76 high and 77 low wood block are from
memory. The metronome keys 33 and 34 lie outside it and may be silent."""


def parse_layers(text: str) -> tuple[Layer, ...]:
    """Read `beat,mine,theirs`; `both` stands for `mine,theirs`.

    Each layer once, in the order of `Layer`. Raises RequestError for a word that is none.
    """
    chosen: set[Layer] = set()
    for word in (piece.strip().lower() for piece in text.split(",")):
        if word == BOTH:
            chosen |= {Layer.MINE, Layer.THEIRS}
        elif word in set(Layer):
            chosen.add(Layer(word))
        else:
            raise _unknown(word)
    return in_order(chosen)


def in_order(layers: Iterable[Layer]) -> tuple[Layer, ...]:
    """Each layer once, in the order of `Layer`."""
    chosen = set(layers)
    return tuple(layer for layer in Layer if layer in chosen)


def _unknown(word: str) -> RequestError:
    from difflib import get_close_matches

    words = [*Layer, BOTH]
    near = get_close_matches(word, words, n=1)
    meant = f"Did you mean “{near[0]}”? " if near else ""
    what = f"“{word}” is not a layer of a click" if word else "a layer of the click is missing"
    return RequestError(what, next=f"{meant}Choose from {', '.join(words)}, joined by commas.")

"""What the tones of the others are made of, before anybody plays a note.

Kept apart from the making of the sound, so that a command can name the tones without
waiting for an array library.

Sources, from memory: a string plucked at 1/p of its length has partials of strength
sin(n·π/p)/n² (textbook solution of the ideal plucked string); a bowed one moves in a
sawtooth, 1/n (Helmholtz). Softening, decays and ramps were set by spectrogram.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import pi, sin
from types import MappingProxyType


class ToneName(StrEnum):
    """A way to sound."""

    PLUCKED = "plucked"
    """A string let go: clear beginnings, dies away."""
    BOWED = "bowed"
    """A string kept moving: held to the end of the note."""
    PLAIN = "plain"
    """A few partials and nothing else: held, soft, clearest for tuning."""


@dataclass(frozen=True, slots=True)
class Band:
    """Partials that behave alike."""

    partials: tuple[float, ...]
    """Strength of the first, second, third … partial; 0 for those of other bands."""
    decay: float | None
    """Seconds in which they fall to 1/e; None if they are held."""


@dataclass(frozen=True, slots=True)
class Tone:
    """How a note sounds."""

    bands: tuple[Band, ...]
    attack: float
    """Seconds in which it rises."""
    release: float
    """Seconds in which it falls, the last ones of its length."""


def _plucked(count: int, point: int) -> tuple[float, ...]:
    return tuple(abs(sin(n * pi / point)) / n**2 for n in range(1, count + 1))


def _bowed(count: int, softness: float) -> tuple[float, ...]:
    return tuple(1 / n / (1 + (n / softness) ** 2) for n in range(1, count + 1))


_STRING = _plucked(16, 5)
_DARK = 3
"""Partials of a plucked string that ring; the ones above are gone in a tenth of a second."""

TONES: Mapping[ToneName, Tone] = MappingProxyType(
    {
        ToneName.PLUCKED: Tone(
            (
                Band(_STRING[:_DARK], 0.55),
                Band((0.0,) * _DARK + _STRING[_DARK:], 0.10),
            ),
            attack=0.002,
            release=0.030,
        ),
        ToneName.BOWED: Tone((Band(_bowed(20, 7.0), None),), attack=0.025, release=0.040),
        ToneName.PLAIN: Tone((Band((1.0, 0.35, 0.12, 0.05), None),), attack=0.010, release=0.030),
    }
)

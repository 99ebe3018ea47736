"""How fast the written notes go: one measure for tempos that count different beats.

The same bars may be tried at dotted quarter = 60 today and at quarter = 90 tomorrow, after
the player settled another tempo relation. As quarters a minute both are 90, and only so
can a log say which was faster. A pace is two whole numbers, because thousands of them are
kept; it becomes a tempo again the moment a person reads it.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache

from companion.rhythm.meter import note_name

WrittenPace = tuple[int, int]
"""Written quarters a minute, as numerator and denominator in lowest terms."""

_VALUES = {
    note_name(value): value
    for power in range(-4, 4)
    for value in (Fraction(2) ** power, Fraction(2) ** power * Fraction(3, 2))
}
_OTHER = re.compile(r"(\d+(?:/\d+)?)(?: of a quarter| quarters)")


@lru_cache(maxsize=256)
def beat_length(name: str) -> Fraction:
    """Quarters that a beat named in the log lasts; a quarter where the name says nothing."""
    if name in _VALUES:
        return _VALUES[name]
    other = _OTHER.fullmatch(name)
    return Fraction(other[1]) if other else Fraction(1)


@lru_cache(maxsize=4096)
def pace_of(tempo: Fraction, beat: str) -> WrittenPace:
    """The pace of a tempo that counts the named beat."""
    return (tempo * beat_length(beat)).as_integer_ratio()


def tempo_at(pace: WrittenPace, beat: str) -> Fraction:
    """The tempo of a pace, counted in the named beat."""
    return Fraction(*pace) / beat_length(beat)


def is_as_fast(one: WrittenPace | None, other: WrittenPace) -> bool:
    """Whether one pace is at least as fast as another; none is slower than any."""
    return one is not None and one[0] * other[1] >= other[0] * one[1]


def share(one: WrittenPace, of: WrittenPace) -> Fraction:
    """One pace as a share of another."""
    return Fraction(*one) / Fraction(*of)

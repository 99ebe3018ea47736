"""A tempo that always says which beat it counts.

"72" alone is half a tempo: in 6/8 it may mean eighths or dotted quarters, and a
click made from the wrong one is three times too slow. A tempo here is a number of
felt beats a minute together with the note value of that beat, both exact, so that
145/2 stays 145/2 until it becomes a sample.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from companion.errors import RequestError
from companion.rhythm.meter import note_name

SLOWEST = 10
"""Fewest felt beats a minute."""
FASTEST = 400
"""Most felt beats a minute."""

_DECIMAL = re.compile(r"([0-9]{1,6})(?:[.,]([0-9]{1,6}))?")
_QUOTIENT = re.compile(r"([0-9]{1,9})/([0-9]{1,9})")


@dataclass(frozen=True, slots=True)
class Tempo:
    """A number of felt beats a minute, and what the beat is.

    Raises RequestError outside 10–400 beats a minute, ValueError for a beat of no length.
    """

    bpm: Fraction
    """Felt beats a minute."""
    beat: Fraction
    """The note value of that beat, in quarters."""

    def __post_init__(self) -> None:
        checked_tempo(self.bpm)
        if self.beat <= 0:
            raise ValueError(f"a beat cannot last {self.beat} quarters")

    def __str__(self) -> str:
        return f"{note_name(self.beat)} = {float(self.bpm):g}"


def parse_bpm(text: str) -> Fraction:
    """Read beats a minute written as `72`, `72.5` (or `72,5`) or `145/2`.

    Raises RequestError if the text is not a number or lies outside 10–400.
    """
    compact = text.replace(" ", "")
    if decimal := _DECIMAL.fullmatch(compact):
        return checked_tempo(Fraction(f"{decimal[1]}.{decimal[2] or 0}"))
    quotient = _QUOTIENT.fullmatch(compact)
    if quotient and int(quotient[2]):
        return checked_tempo(Fraction(int(quotient[1]), int(quotient[2])))
    raise RequestError(f"“{text}” is not a tempo", next="Write beats a minute: 72, 72.5 or 145/2.")


def checked_tempo(bpm: Fraction) -> Fraction:
    """The same beats a minute. Raises RequestError if nobody could play to them."""
    if not SLOWEST <= bpm <= FASTEST:
        raise RequestError(
            f"{float(bpm):g} beats a minute is outside {SLOWEST}–{FASTEST}",
            next="Choose a tempo in that range; it counts the felt beats of your part.",
        )
    return bpm


def nearest_tempo(bpm: Fraction) -> Fraction:
    """The same beats a minute, or the limit they are beyond."""
    return min(max(bpm, Fraction(SLOWEST)), Fraction(FASTEST))

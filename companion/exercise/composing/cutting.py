"""So many equal notes in a span, in the words of the short notation.

A span may be cut into plain or dotted values (a dotted quarter into two dotted eighths) or
needs a tuplet; which one a player would expect to read is decided here.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from companion.errors import RequestError
from companion.exercise.pattern.notation import quarters_of, usual_time

_LETTERS = "whqest"


@dataclass(frozen=True, slots=True)
class Cut:
    """One of several equal notes."""

    letter: str
    """Its note value."""
    dots: str
    """A dot, or nothing."""
    tuplet: str
    """What stands behind it where it is in a tuplet: `3`, `5:3`."""

    @property
    def word(self) -> str:
        """As it is written, without a pitch."""
        return f"{self.letter}{self.dots}{self.tuplet}"

    @property
    def joined(self) -> Cut | None:
        """Two of them in one note; None where no single note value says it."""
        at = _LETTERS.index(self.letter)
        return Cut(_LETTERS[at - 1], self.dots, self.tuplet) if at else None


def cut(span: Fraction, count: int) -> Cut:
    """One of `count` equal notes in `span` quarters.

    Raises RequestError where they would be shorter than a 32nd, or no tuplet says it.
    """
    plain = plain_value(span / count)
    if plain:
        return Cut(plain[0], plain[1:], "")
    for letter in _LETTERS:
        normal = span / quarters_of(letter)
        if normal.denominator == 1 and count / 2 < normal <= count and normal <= 16:
            usual = usual_time(count) == normal
            return Cut(letter, "", f"{count}" if usual else f"{count}:{normal}")
    raise RequestError(
        f"{count} equal notes cannot be written there", next="Choose a smaller ratio."
    )


def plain_value(length: Fraction) -> str:
    """The note value of a length with or without a dot; empty where there is none."""
    for letter in _LETTERS:
        for value in (letter, f"{letter}."):
            if quarters_of(value) == length:
                return value
    return ""


def held(length: Fraction) -> list[str]:
    """Note values that together last so long, the longest first, to be tied.

    Raises RequestError where the length is no sum of plain values.
    """
    found: list[str] = []
    values = [value for letter in _LETTERS for value in (f"{letter}.", letter)]
    for value in values:
        while quarters_of(value) <= length:
            found.append(value)
            length -= quarters_of(value)
    if length:
        raise RequestError("this meter cannot be filled with one held note", next="Choose another.")
    return found

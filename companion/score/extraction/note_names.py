"""Note values as MusicXML names them: a type, its dots, and the length they make."""

from __future__ import annotations

from fractions import Fraction

from companion.score.readers.musicxml.grid import QUARTERS

_FINEST = Fraction(1, 16)
"""Nothing shorter than a 64th is spelled for a player to read."""
_DOTTED = {0: Fraction(1), 1: Fraction(3, 2), 2: Fraction(7, 4)}

VALUES: dict[Fraction, tuple[str, int]] = {
    quarters * factor: (name, dots)
    for dots, factor in _DOTTED.items()
    for name, quarters in QUARTERS.items()
    if _FINEST <= quarters <= 8
}
"""Quarters → (type, dots), up to two dots."""


def value_named(length: Fraction, most_dots: int = 2) -> tuple[str, int] | None:
    """The type and dots of a length in quarters; None where one note cannot show it."""
    found = VALUES.get(length)
    return found if found is not None and found[1] <= most_dots else None


def plain_number(value: Fraction) -> str:
    """A decimal as XML wants it, at most six places."""
    return f"{float(value):.6f}".rstrip("0").rstrip(".")

"""The grid of ticks on which everything in one score falls exactly.

Files count in divisions of the quarter that change from part to part, even
inside a bar, and some write triplets rounded to them (85 + 85 + 86 of 256).
One number of ticks that all of them divide is found by reading once with the
divisions alone, noting what did not fit, and reading again with a finer grid.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from math import lcm

MOST_TICKS = 10_000_000

QUARTERS = {
    "1024th": Fraction(1, 256),
    "512th": Fraction(1, 128),
    "256th": Fraction(1, 64),
    "128th": Fraction(1, 32),
    "64th": Fraction(1, 16),
    "32nd": Fraction(1, 8),
    "16th": Fraction(1, 4),
    "eighth": Fraction(1, 2),
    "quarter": Fraction(1),
    "half": Fraction(2),
    "whole": Fraction(4),
    "breve": Fraction(8),
    "long": Fraction(16),
    "maxima": Fraction(32),
}
"""Note types of MusicXML 4.0 (note-type-value in musicxml.xsd), in quarters."""


class TickGrid:
    """Ticks to the quarter, and what would not fit them."""

    __slots__ = ("_exact", "is_final", "ticks", "wanted")

    def __init__(self, ticks: int, *, is_final: bool = False) -> None:
        self.ticks = ticks
        """Ticks to the quarter."""
        self.is_final = is_final
        """Whether no finer grid may be asked for."""
        self.wanted: set[int] = set()
        """Pieces of the quarter that ticks cannot count."""
        self._exact: dict[tuple[int, int, str | None, tuple[int, int]], Fraction | None] = {}

    def fit(self, quarters: Fraction) -> int:
        """Ticks of a length; asks for a finer grid where they do not come out whole."""
        ticks = quarters * self.ticks
        if ticks.denominator != 1 and not self.is_final:
            self.wanted.add(quarters.denominator)
        return round(ticks)

    def finer(self) -> int:
        """Ticks that count everything asked for; 0 if that would be too many."""
        ticks = lcm(self.ticks, *self.wanted)
        return ticks if ticks <= MOST_TICKS else 0

    def unrounded(
        self, length: int, unit: int, dots: int, name: str | None, ratio: tuple[int, int]
    ) -> int:
        """Ticks of a tuplet note whose length (ticks) is only rounded to a unit (ticks).

        Gives `length` back where units count the note (its type `name`, dots and
        ratio) exactly, or where the file means another length altogether.
        """
        key = (unit, dots, name, ratio)
        if key not in self._exact:
            self._exact[key] = self._between_units(unit, dots, name, ratio)
        exact = self._exact[key]
        if exact is None or abs(exact * self.ticks - length) >= unit:
            return length
        if (exact * self.ticks).denominator != 1 and self.is_final:
            return length
        return self.fit(exact)

    def _between_units(
        self, unit: int, dots: int, name: str | None, ratio: tuple[int, int]
    ) -> Fraction | None:
        """Quarters of a note as written; None if units count it."""
        if name not in QUARTERS:
            return None
        actual, normal = ratio
        exact = QUARTERS[name] * (2 - Fraction(1, 2 ** min(dots, 8))) * normal / actual
        return None if (exact * self.ticks / unit).denominator == 1 else exact


def coarsest(divisions: Iterable[Fraction]) -> int:
    """The fewest ticks to the quarter that all these divisions divide."""
    ticks = 1
    for value in divisions:
        ticks = lcm(ticks, value.numerator)
        if ticks > MOST_TICKS:
            return 0
    return ticks

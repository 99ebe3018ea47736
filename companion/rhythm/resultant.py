"""The rhythm heard when two even divisions of one span are struck together.

3 against 2 strikes at 0, 1/3, 1/2 and 2/3 of the span. The table for all ratios up
to 9:8 is in J. Schillinger, *The Schillinger System of Musical Composition* (1946),
Book I; the tests hold it against this arithmetic.
"""

from __future__ import annotations

from fractions import Fraction
from math import gcd


def even(division: int) -> tuple[Fraction, ...]:
    """The strokes of one side: `division` of them, evenly from 0, as shares of the span."""
    if division < 1:
        raise ValueError(f"a span cannot be divided into {division}")
    return tuple(Fraction(k, division) for k in range(division))


def resultant(*divisions: int) -> tuple[Fraction, ...]:
    """All strokes of several sides in order, each place once, as shares of the span.

    Two sides m and n give m + n − gcd(m, n) strokes, and the order read backwards is the same.
    """
    return tuple(sorted({stroke for division in divisions for stroke in even(division)}))


def coincidences(*divisions: int) -> tuple[Fraction, ...]:
    """The strokes that every side has, as shares of the span."""
    return even(gcd(*divisions))

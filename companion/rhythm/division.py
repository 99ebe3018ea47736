"""Into how many equal pieces a span is cut by the notes that begin in it."""

from __future__ import annotations

from collections.abc import Iterable
from math import gcd

_NESTED = {10: (2, 5), 14: (2, 7), 15: (3, 5)}
"""Grids that only a tuplet inside another makes, and the outer ones it may stand in."""


def division_of(offsets: Iterable[int], span: int) -> int:
    """The smallest number of equal pieces such that every offset lies on a cut.

    `offsets` and `span` are whole ticks from the start of the span; no offset but 0,
    or none at all, gives 1.
    """
    common = span
    for offset in offsets:
        common = gcd(common, offset)
    return span // common


def is_evenly_struck(offsets: Iterable[int], span: int) -> int:
    """How many equal notes the offsets make of the span; 0 if they are not equal notes.

    Every cut must be struck, the first at the start of the span.
    """
    struck = set(offsets)
    count = division_of(struck, span)
    return count if len(struck) == count and 0 in struck else 0


def felt_division(offsets: Iterable[int], span: int) -> int:
    """As `division_of`, but the outer one where a tuplet stands inside another.

    A triplet whose middle member is a quintuplet lies on a grid of 15, but nobody plays 15:
    three are felt, if all three begin with a note (common practice, no source).
    """
    struck = set(offsets)
    count = division_of(struck, span)
    if is_evenly_struck(struck, span):
        return count
    for outer in _NESTED.get(count, ()):
        if all(span * number // outer in struck for number in range(outer)):
            return outer
    return count


def fit(a: int, b: int) -> bool:
    """Whether one division contains the other, so that nothing pulls."""
    return a % b == 0 or b % a == 0

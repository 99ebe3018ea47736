"""Into how many equal pieces a span is cut by the notes that begin in it."""

from __future__ import annotations

from collections.abc import Iterable
from math import gcd


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


def fit(a: int, b: int) -> bool:
    """Whether one division contains the other, so that nothing pulls."""
    return a % b == 0 or b % a == 0

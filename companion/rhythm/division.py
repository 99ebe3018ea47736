"""Into how many equal pieces a span is cut by the notes that begin in it."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import accumulate
from math import gcd, lcm

from companion.rhythm.meter import Meter

_NESTED = {10: (2, 5), 14: (2, 7), 15: (3, 5)}
"""Grids that only a tuplet inside another makes, and the outer ones it may stand in."""


def division_of(offsets: Iterable[int], span: int) -> int:
    """The smallest number of equal pieces such that every offset lies on a cut.

    `offsets` and `span` are whole ticks from the start of the span; no offset but 0,
    or none at all, gives 1.
    """
    return span // gcd(span, *offsets)


def is_evenly_struck(offsets: Iterable[int], span: int) -> bool:
    """Whether the offsets make equal notes of the span: every cut is struck, and its start."""
    struck = set(offsets)
    return len(struck) == division_of(struck, span) and 0 in struck


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


# How two meters that share one bar pull, by what is written alone.


def groups_pull(a: Meter, b: Meter) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    """The lengths of the beats of two meters sharing one bar, in the longest pulse common to
    all of them, where they fall at different places and some are longer than others: 3+2+3/8
    and 4/4 give (3, 2, 3) and (2, 2, 2, 2). None if those of one are among the other's.
    """
    if a.is_even and b.is_even:
        return None
    shares = [[beat / meter.length for beat in meter.beats] for meter in (a, b)]
    pulses = lcm(*(share.denominator for meter in shares for share in meter))
    groups = [tuple(int(share * pulses) for share in meter) for meter in shares]
    starts = [{0, *accumulate(meter[:-1])} for meter in groups]
    if starts[0] <= starts[1] or starts[1] <= starts[0]:
        return None
    return groups[0], groups[1]


def meters_pull(a: Meter, b: Meter) -> tuple[str, int, int] | None:
    """How two meters sharing one bar pull: (level, division of a, division of b).

    The coarsest span that tells them apart decides: the bar into beats where the numbers
    of beats do not fit, else the beat into pulses. None if everything fits.
    """
    beats_a, beats_b = _counted(a), _counted(b)
    if not fit(beats_a, beats_b):
        return "bar", beats_a, beats_b
    if beats_a == beats_b and a.is_even and b.is_even and not fit(a.divisions[0], b.divisions[0]):
        return "beat", a.divisions[0], b.divisions[0]
    return None


def compared_beats(meters: Iterable[Meter]) -> Meter:
    """Of meters sharing one bar whose beats fit each other, the one in whose beats their notes
    are compared: one with unequal beats, else with compound ones, else with most."""
    return max(meters, key=lambda meter: (not meter.is_even, meter.is_compound, len(meter.beats)))


def _counted(meter: Meter) -> int:
    """Beats of the bar; pulses where the beats are unequal and cannot divide it evenly."""
    return len(meter.beats) if meter.is_even else sum(meter.divisions)

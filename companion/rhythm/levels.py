"""The lengths a meter counts in, and which of them a figure of another length pulls against."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from companion.rhythm.meter import Meter

LARGEST_NUMBER = 16
"""A ratio with a larger number is an ornament or an encoding quirk, not something one feels."""


def levels(meter: Meter) -> dict[Fraction, str]:
    """The beat, the half bar and the bar, as far as the meter has them, in quarters.

    The pulse too where it is felt by itself, in compound and unequal beats; in simple ones
    a triplet would otherwise pull against the eighths that nobody plays.
    """
    found: dict[Fraction, str] = {}
    if meter.is_compound or not meter.is_even:
        found[meter.length / sum(meter.divisions)] = "pulse"
    if meter.is_even:
        found[meter.beat] = "beat"
        if len(meter.beats) % 2 == 0 and len(meter.beats) > 2:
            found[meter.length / 2] = "half bar"
    found.setdefault(meter.length, "bar")
    return found


@lru_cache(maxsize=4096)
def crossed(length: Fraction, meter: Meter) -> tuple[Fraction, str] | None:
    """The level that a group of this length does not fit and that is nearest to it in length.

    Three eighths pull against the four of a 2/4 bar, or of half a 4/4 bar; three 16ths
    against the four of a quarter. None where every level holds it or is held by it, or
    where the ratio has a number above 16.
    """
    unfit = [
        level
        for level in levels(meter)
        if (level / length).denominator > 1 and (length / level).denominator > 1
    ]
    if not unfit:
        return None
    nearest = min(unfit, key=lambda level: (max(level / length, length / level), -level))
    ratio = length / nearest
    if max(ratio.numerator, ratio.denominator) > LARGEST_NUMBER:
        return None
    return nearest, levels(meter)[nearest]

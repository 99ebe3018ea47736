"""How much of its meter a bar's contents fill: full bars, pickups and slips.

A bar that is short or long under the same meter as its neighbours is a pickup or
an encoding slip. It is never stretched to fit; it is placed and reported.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct

from companion.rhythm.meter import Meter
from companion.score.model import PartBar


class Filling(Struct, frozen=True):
    """How much of one full bar is really there."""

    share: Fraction
    """Length of the bar against a full bar of its meter; 1 for an ordinary bar."""
    odd: tuple[int, ...]
    """Indices of the parts that fill less than the bar they stand in."""


FULL = Filling(Fraction(1), ())
"""An ordinary bar."""


def filling(
    row: tuple[PartBar | None, ...], meters: tuple[Meter | None, ...], ticks: int
) -> Filling:
    """Compare what the parts' bars (None: the part has ended) hold with their meters.

    Empty bars and whole-bar rests say nothing; where nobody says anything the bar is full.
    Only notes make a bar long: rests written past its end are an encoder's padding.
    """
    shares: dict[int, Fraction] = {}
    for index, (bar, meter) in enumerate(zip(row, meters, strict=True)):
        if bar is None or meter is None or not bar.filled:
            continue
        length = meter.length
        reach, full = bar.filled * length.denominator, ticks * length.numerator
        if reach > full:
            reach = max(full, _sounding(bar) * length.denominator)
        shares[index] = Fraction(reach, full) if reach != full else FULL.share
    if all(share is FULL.share for share in shares.values()):
        return FULL
    longest = max(shares.values())
    return Filling(longest, tuple(index for index, share in shares.items() if share < longest))


def _sounding(bar: PartBar) -> int:
    """Ticks the notes of a bar reach, rests not counted."""
    return max((note.onset + note.length for note in bar.notes if not note.is_rest), default=0)

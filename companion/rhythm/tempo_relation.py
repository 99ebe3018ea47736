"""What stays the same when the meter changes.

From 6/8 into 2/4 either the beat stays (the dotted quarter becomes the quarter)
or the note value stays (an eighth remains an eighth and the beat gets shorter).
A page often does not say which; players must agree. The custom of the trade is
written here once, so that every room assumes the same and can say so.
"""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction

from companion.rhythm.meter import Meter


class Same(StrEnum):
    """What a change of meter leaves as it was."""

    BEAT = "beat = beat"
    """The felt beat lasts as long as before (l'istesso tempo)."""
    NOTE = "note = note"
    """Every written note value lasts as long as before."""


def by_custom(old: Meter, new: Meter) -> Same:
    """What players assume when the page is silent.

    Common practice, no source: between a simple and a compound meter with the same
    number of beats the beat stays; everywhere else the note value stays.
    """
    same_count = len(old.beats) == len(new.beats)
    if same_count and old.is_even and new.is_even and old.is_compound != new.is_compound:
        return Same.BEAT
    return Same.NOTE


def pace_after(same: Same, old: Meter, new: Meter, pace: Fraction) -> Fraction:
    """How long a written quarter lasts after the change, given `pace`, how long it lasted before.

    The unit of time is the caller's; only the proportion matters.
    """
    if same is Same.NOTE:
        return pace
    return pace * old.beat / new.beat


def what_stayed(old: Meter, new: Meter, before: Fraction, after: Fraction) -> Same | None:
    """Which relation two paces (lengths of a quarter) show; None where neither holds.

    Where both hold (2/4 into 3/4) the custom names it.
    """
    custom = by_custom(old, new)
    for same in (custom, Same.BEAT, Same.NOTE):
        if pace_after(same, old, new, before) == after:
            return same
    return None

"""What stays the same when the meter changes.

From 6/8 into 2/4 either the beat stays (the dotted quarter becomes the quarter)
or the note value stays (an eighth remains an eighth and the beat gets shorter).
A page often does not say which; players must agree. The custom of the trade is
written here once, so that every package assumes the same and can say so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum
from fractions import Fraction

from msgspec import Struct

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
    """Which relation two paces (lengths of a quarter) show; None if neither holds.

    Where both hold (2/4 into 3/4) the custom names it.
    """
    custom = by_custom(old, new)
    for same in (custom, Same.BEAT, Same.NOTE):
        if pace_after(same, old, new, before) == after:
            return same
    return None


# What a change of meter keeps and what it changes, exactly.


class MeterChange(Struct, frozen=True):
    """One change of meter of one part.

    `quarter`, `beat`, `pulse` and `whole_bar` say how long each lasts now: 1 as before, 3/2
    half as long again. Lengths are compared as the score was laid, never guessed from the signs.
    """

    bar: int
    old: Meter
    new: Meter
    quarter: Fraction
    """Of a written quarter, and so of every note value."""
    beat: Fraction
    """Of the (first) felt beat."""
    pulse: Fraction
    """Of the natural division of the (first) beat, whatever its note value."""
    whole_bar: Fraction

    @property
    def keeps_beat(self) -> bool:
        """Whether the felt beat lasts as long as before; unequal beats keep nothing."""
        return self.beat == 1 and self.old.is_even and self.new.is_even

    @property
    def keeps_notes(self) -> bool:
        """Whether note values last as long as before."""
        return self.quarter == 1


def meter_change(
    bar: int, old: Meter, new: Meter, before: Fraction, after: Fraction
) -> MeterChange:
    """The facts of one change; `before` and `after` are lengths of a written quarter.

    In any unit, the same for both: grains, clock time, seconds.
    """
    quarter = after / before
    return MeterChange(
        bar,
        old,
        new,
        quarter,
        quarter * new.beat / old.beat,
        quarter * pulse_length(new) / pulse_length(old),
        quarter * new.length / old.length,
    )


def meter_changes(bars: Iterable[tuple[int, Meter | None, Fraction]]) -> Iterator[MeterChange]:
    """Every change along (ordinal bar, meter, length of a written quarter) in order.

    Unmeasured bars are passed over; a change of the quarter's length under one meter counts.
    """
    before: tuple[Meter, Fraction] | None = None
    for number, meter, quarter in bars:
        if meter is None:
            continue
        if before is not None and before != (meter, quarter):
            yield meter_change(number, before[0], meter, before[1], quarter)
        before = meter, quarter


def pulse_length(meter: Meter) -> Fraction:
    """The natural division of the first beat, in written quarters: an eighth in 6/8 and 2/4."""
    return meter.beat / meter.divisions[0]

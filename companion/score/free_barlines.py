"""Parts whose barlines do not stand together: the written unit is common instead.

True polymeter (`non-controlling` barlines, or different numbers of bars in the same
stretch of music): an eighth is an eighth for everybody, and each part's bars follow
one another at their own lengths.
"""

from __future__ import annotations

from fractions import Fraction

from companion.rhythm.meter import Meter
from companion.score.clock import Assumption, Bar, BarPlace, Clock, written_meter
from companion.score.model import Part, Score
from companion.score.movements import movements


def has_free_barlines(score: Score) -> bool:
    """Whether any part has barlines of its own.

    A part that merely stops early (its bar numbers are the beginning of a longer part's)
    does not count: that is a missing bar, not a polymeter.
    """
    if any(bar.is_free for part in score.parts for bar in part.bars):
        return True
    if len({len(part.bars) for part in score.parts}) <= 1:
        return False
    longest = max(score.parts, key=lambda part: len(part.bars))
    labels = [bar.label for bar in longest.bars]
    return any(
        [bar.label for bar in part.bars] != labels[: len(part.bars)]
        or _written_length(part, score.ticks) == _written_length(longest, score.ticks)
        for part in score.parts
        if part is not longest
    )


def lay_freely(score: Score) -> Clock:
    """Lay each part's bars one after another by its own written lengths."""
    lead = _lead(score)
    first = written_meter(score.parts[lead].bars[0].meter) if score.parts[lead].bars else None
    pace = 1 / first.beat if first else Fraction(1)
    places = tuple(_places(part, score.ticks, pace) for part in score.parts)
    labels = [bar.label for bar in score.parts[lead].bars]
    bars = tuple(
        Bar(index + 1, labels[index], movement, place.start, place.length)
        for index, (place, movement) in enumerate(zip(places[lead], movements(labels), strict=True))
    )
    told = Assumption(0, "barlines", "unit = unit; barlines travel apart", "source")
    return Clock(score, bars, places, (told,), barlines_coincide=False)


def _lead(score: Score) -> int:
    """The part whose bars are counted: the topmost with only controlling barlines."""
    for index, part in enumerate(score.parts):
        if part.bars and not any(bar.is_free for bar in part.bars):
            return index
    return 0


def _places(part: Part, ticks: int, pace: Fraction) -> tuple[BarPlace, ...]:
    start = Fraction(0)
    placed: list[BarPlace] = []
    for index, bar in enumerate(part.bars):
        meter = written_meter(bar.meter)
        quarters = _quarters(bar.filled, meter, ticks)
        full = meter.length if meter else quarters
        is_pickup = quarters < full and (index == 0 or bar.is_implicit)
        lead = (full - quarters) * pace if is_pickup else Fraction(0)
        placed.append(BarPlace(start, quarters * pace, pace, lead, meter))
        start += quarters * pace
    return tuple(placed)


def _quarters(filled: int, meter: Meter | None, ticks: int) -> Fraction:
    if filled or meter is None:
        return Fraction(filled, ticks)
    return meter.length


def _written_length(part: Part, ticks: int) -> Fraction:
    return sum(
        (_quarters(bar.filled, written_meter(bar.meter), ticks) for bar in part.bars), Fraction(0)
    )

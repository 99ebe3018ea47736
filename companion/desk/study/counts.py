"""How to count a bar aloud: in my division, in theirs, and both in one count."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.desk.stand import Stand
from companion.rhythm.conflicts import Conflict
from companion.rhythm.counting import count_aloud, count_bar, spoken, where_it_falls
from companion.rhythm.grouped_count import on, pulses
from companion.rhythm.meter import Meter
from companion.score.lines import onsets


@dataclass(frozen=True, slots=True)
class Count:
    """The counts of one bar for one player."""

    bar: int
    """Ordinal position."""
    mine: str
    """In my meter."""
    theirs: tuple[tuple[str, str], ...]
    """(meter, count) for each other meter that sounds in the bar."""
    together: tuple[tuple[str, str], ...]
    """(ratio, count with who strikes where) for each conflict my part is in."""


def counts(stand: Stand, part: int, bars: Iterable[int]) -> Iterator[Count]:
    """Counts of the bars in which the part has a meter."""
    me = stand.score.parts[part].id
    for number in bars:
        bar = stand.clock.bars[number - 1]
        meter = stand.clock.meter_at(part, bar)
        if meter is None:
            continue
        others = {
            other.text: other
            for index in range(len(stand.score.parts))
            if (other := stand.clock.meter_at(index, bar)) is not None and other != meter
        }
        together = tuple(
            (pull.against, _together(pull))
            for pull in stand.conflicts
            if pull.first <= number <= pull.last and any(me in side.parts for side in pull.sides)
        )
        yield Count(
            number,
            spoken(count_bar(meter, _struck(stand, part, number, meter))),
            tuple((text, spoken(count_bar(other))) for text, other in others.items()),
            together,
        )


def _together(pull: Conflict) -> str:
    more, fewer = pull.sides
    if more.groups:
        return f"{pulses(more)}: {more.name} on {on(more)}, {fewer.name} on {on(fewer)}"
    m, n = pull.ratio
    where = f"{m} on every number, {n} on {where_it_falls(m, n)}"
    return f"{count_aloud(m, n)} in the {pull.level}: {where}"


def _struck(stand: Stand, part: int, number: int, meter: Meter) -> tuple[Fraction, ...]:
    """Quarters after where the full bar begins at which the part strikes."""
    bar = stand.clock.bars[number - 1]
    place = stand.clock.places[part][stand.clock.own_bar_at(part, bar.start)]
    return tuple(
        (at - place.start + place.lead) / place.pace
        for at in onsets(stand.clock, part, place.start, min(place.end, stand.clock.end))
        if (at - place.start + place.lead) / place.pace < meter.length
    )

"""The bars a player counts: those of their own part, also where barlines travel apart."""

from __future__ import annotations

from fractions import Fraction
from itertools import takewhile

from companion.score.clock import BarPlace, Clock
from companion.score.passage import Passage


def own_bars(passage: Passage) -> tuple[BarPlace, ...]:
    """The part's own bars that sound in the passage, in order.

    Where barlines do not coincide the first may begin before the passage and the last end
    after it. Where the part is already over, the topmost part that goes on is counted
    instead, so that the click does not fall silent.
    """
    clock = passage.clock
    own = clock.places[passage.part]
    rest = own[clock.own_bar_at(passage.part, passage.start) :]
    sounding = takewhile(lambda place: place.start < passage.end, rest)
    found = [place for place in sounding if place.end > max(place.start, passage.start)]
    reached = found[-1].end if found else passage.start
    while reached < passage.end:
        other = _topmost_from(clock, reached)
        if other is None:
            break
        found.append(other)
        reached = other.end
    return tuple(found)


def _topmost_from(clock: Clock, time: Fraction) -> BarPlace | None:
    """The bar of the topmost part that has a barline at that time."""
    for part, places in enumerate(clock.places):
        if places:
            place = places[clock.own_bar_at(part, time)]
            if place.start == time < place.end:
                return place
    return None

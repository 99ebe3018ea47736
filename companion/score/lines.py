"""From the laid score to the plain lines that the rhythm room compares."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from companion.rhythm.conflicts import Conflict, Line, conflicts
from companion.score.clock import BarPlace, Clock
from companion.score.model import PartBar


def conflicts_of(clock: Clock) -> tuple[Conflict, ...]:
    """Every conflict of a score whose barlines coincide; none where they travel apart."""
    if not clock.barlines_coincide:
        return ()
    return conflicts(_bars(clock))


def _bars(clock: Clock) -> Iterator[tuple[int, list[Line]]]:
    parts = clock.score.parts
    fineness = _fineness(clock)
    for index in range(len(clock.bars)):
        lines: list[Line] = []
        for part, places in zip(parts, clock.places, strict=True):
            if index < len(places):
                lines += _lines(part.id, part.bars[index], places[index], clock, fineness)
        yield index + 1, lines


def _fineness(clock: Clock) -> int:
    """By how much ticks must be multiplied so that every felt beat is a whole number of them."""
    beats = {
        beat
        for column in clock.places
        for place in column
        if place.meter
        for beat in place.meter.beats
    }
    fineness = 1
    for beat in beats:
        fineness *= (beat * clock.score.ticks * fineness).denominator
    return fineness


def _lines(id_: str, bar: PartBar, place: BarPlace, clock: Clock, fineness: int) -> list[Line]:
    """One line a staff, so that two hands at one instrument can pull against each other."""
    if place.meter is None:
        return []
    unit = clock.score.ticks * fineness
    length = int(place.meter.length * unit)
    lead = round(place.lead / place.pace * unit) if place.lead else 0
    struck: dict[int, set[int]] = {}
    for note in bar.notes:
        if note.is_struck:
            struck.setdefault(note.staff, set()).add(lead + note.onset * fineness)
    if not struck:
        return [Line(id_, place.meter, length, ())]
    return [
        Line(id_, place.meter, length, tuple(sorted(onsets)))
        for _, onsets in sorted(struck.items())
    ]


def onsets(clock: Clock, part: int, first: Fraction, last: Fraction) -> tuple[Fraction, ...]:
    """Clock times from `first` up to but not including `last` at which a part strikes a note."""
    found: set[Fraction] = set()
    places = clock.places[part]
    if not places:
        return ()
    for index in range(clock.own_bar_at(part, first), len(places)):
        if places[index].start >= last:
            break
        for note in clock.score.parts[part].bars[index].notes:
            if note.is_struck:
                found.add(clock.onset(part, index, note))
    return tuple(sorted(onset for onset in found if first <= onset < last))

"""From the laid score to the plain lines that the rhythm room compares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from companion.rhythm.conflicts import Conflict, Line, conflicts
from companion.rhythm.meter import Meter
from companion.score.clock import Clock
from companion.score.model import PartBar


def conflicts_of(clock: Clock) -> tuple[Conflict, ...]:
    """Every conflict of a score whose barlines coincide; none where they travel apart."""
    if not clock.barlines_coincide:
        return ()
    return conflicts(_bars(clock))


def _bars(clock: Clock) -> Iterator[tuple[int, list[Line]]]:
    meters = {place.meter for column in clock.places for place in column if place.meter}
    unit = _fine_ticks(clock.score.ticks, meters)
    full = {meter: int(meter.length * unit) for meter in meters}
    parts = clock.score.parts
    fineness = unit // clock.score.ticks
    for index in range(len(clock.bars)):
        lines: list[Line] = []
        for part, places in zip(parts, clock.places, strict=True):
            if index < len(places) and (meter := places[index].meter):
                place = places[index]
                lead = round(place.lead / place.pace * unit) if place.lead else 0
                struck = _struck(part.bars[index], part.staves, lead, fineness)
                lines += [Line(part.id, meter, full[meter], onsets) for onsets in struck]
        yield index + 1, lines


def _fine_ticks(ticks: int, meters: Iterable[Meter]) -> int:
    """So many ticks to the quarter that every felt beat is a whole number of them."""
    for meter in meters:
        for beat in meter.beats:
            ticks *= (beat * ticks).denominator
    return ticks


def _struck(bar: PartBar, staves: int, lead: int, fineness: int) -> list[tuple[int, ...]]:
    """When notes begin, staff by staff, so that two hands at one instrument can pull against
    each other; one empty tuple for a bar of rest."""
    struck = [note for note in bar.notes if note.is_struck]
    used = sorted({note.staff for note in struck}) if staves > 1 else ()
    by_staff = [[note for note in struck if note.staff == staff] for staff in used] or [struck]
    return [tuple(sorted({lead + note.onset * fineness for note in notes})) for notes in by_staff]


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

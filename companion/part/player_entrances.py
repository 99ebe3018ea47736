"""Where the player comes in after a long rest, and how much of it a cue should fill.

Common practice, no source: a cue is worth its ink after two bars of rest or more; a
short one lets the last bar before the entry be heard, at least two beats of it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from companion.score.clock import BarPlace, Clock
from companion.score.model import PartBar

FEWEST_BARS = 2
"""Bars of rest before an entry that ask for a cue."""
_MOST_BARS = 4
"""Bars of rest that a full cue fills."""
_FEWEST_BEATS = 2


class Cues(StrEnum):
    """How much of what leads into an entry is shown."""

    NONE = "none"
    """Nothing."""
    SHORT = "short"
    """The last bar before the entry, at least two beats."""
    FULL = "full"
    """The whole rest, up to four bars."""


@dataclass(frozen=True, slots=True)
class RestStretch:
    """A stretch of one own bar, from its left barline, in which the player rests."""

    bar: int
    """Index of the part's own bar."""
    until: Fraction
    """Quarters after the barline at which it ends."""


@dataclass(frozen=True, slots=True)
class PlayerEntrance:
    """A place where the player comes in, and the rest before it that a cue may fill."""

    stretches: tuple[RestStretch, ...]
    """In order; the last one ends where the player comes in."""
    pitches: tuple[str, ...]
    """What the player comes in with, as written."""


def is_silent(bar: PartBar) -> bool:
    """Whether the player has no note in it."""
    return all(note.is_rest or note.is_cue for note in bar.notes)


def player_entrances(clock: Clock, part: int, cues: Cues) -> Iterator[PlayerEntrance]:
    """Every entry after a rest of two bars or more, in order.

    A rest does not reach back into an earlier movement, nor over a bar that has a cue already.
    """
    bars = clock.score.parts[part].bars
    first = 0
    for index, bar in enumerate(bars):
        if index and movement_at(clock, part, index) != movement_at(clock, part, index - 1):
            first = index
        if is_silent(bar) and not any(note.is_cue for note in bar.notes):
            continue
        if index - first >= FEWEST_BARS and not is_silent(bar):
            entry = _entry(clock, part, first, index, cues)
            if entry is not None:
                yield entry
        first = index + 1


def _entry(clock: Clock, part: int, first: int, index: int, cues: Cues) -> PlayerEntrance | None:
    score = clock.score
    bar = score.parts[part].bars[index]
    played = [note for note in bar.notes if not note.is_rest and not note.is_cue]
    onset = min(note.onset for note in played)
    pitches = tuple(note.pitch for note in played if note.onset == onset)
    entry = RestStretch(index, Fraction(onset, score.ticks))
    start = _start(clock, part, first, entry, cues)
    places = clock.places[part]
    silent = [RestStretch(i, length_in_quarters(places[i])) for i in range(start, index)]
    has_cue = any(note.is_cue for note in bar.notes)
    lead = [entry] if onset and not has_cue else []
    stretches = tuple(stretch for stretch in [*silent, *lead] if stretch.until > 0)
    return PlayerEntrance(stretches, pitches) if stretches else None


def _start(clock: Clock, part: int, first: int, entry: RestStretch, cues: Cues) -> int:
    """The bar in which the cue begins."""
    if cues is Cues.FULL:
        return max(first, entry.bar - _MOST_BARS)
    places = clock.places[part]
    meter = places[entry.bar].meter
    beats = entry.until / meter.beat if meter else entry.until
    start = entry.bar
    while beats < _FEWEST_BEATS and start > first:
        start -= 1
        meter = places[start].meter
        beats += length_in_quarters(places[start]) / (meter.beat if meter else 1)
    return start


# From a place in one part to the same moment in another, over the shared clock.


@dataclass(frozen=True, slots=True)
class PartPlace:
    """A place in the player's part."""

    bar: int
    """Index of its own bar, from 0."""
    at: Fraction
    """Quarters after the left barline, as that part writes them."""
    is_end: bool = False
    """Whether it is the right barline of that bar."""


def same_moment_in(
    clock: Clock, source: int, target: int, bar: int, at: Fraction
) -> PartPlace | None:
    """Where a place of the source part lies in the target part; None if that is silent.

    A place at the right barline stays at a right barline, as `da capo` does.
    """
    place = clock.places[source][bar]
    moment = place.start + at * place.pace
    is_end = at > 0 and moment >= place.end
    own = _bar(clock, target, bar, moment, is_end=is_end)
    if own is None:
        return None
    there = clock.places[target][own]
    quarters = (moment - there.start) / there.pace
    length = there.length / there.pace
    if is_end and quarters >= length:
        return PartPlace(own, length, True)
    return PartPlace(own, min(max(quarters, Fraction(0)), length))


def _bar(clock: Clock, target: int, bar: int, moment: Fraction, *, is_end: bool) -> int | None:
    places = clock.places[target]
    if not places:
        return None
    if clock.barlines_coincide:
        return bar if bar < len(places) else None
    own = clock.own_bar_at(target, moment)
    if is_end and own and places[own].start == moment:
        return own - 1
    return None if moment > places[own].end else own


def length_in_quarters(place: BarPlace) -> Fraction:
    """A bar's length in the quarters its part writes."""
    return place.length / place.pace


def movement_at(clock: Clock, part: int, bar: int) -> int:
    """Which movement a part's own bar belongs to, from 1."""
    if clock.barlines_coincide:
        return clock.bars[bar].movement
    start = clock.places[part][bar].start
    index = bisect_right(clock.bars, start, key=lambda bar: bar.start) - 1
    return clock.bars[max(0, index)].movement

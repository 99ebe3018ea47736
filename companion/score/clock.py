"""The shared clock: one exact time line on which every part's bars stand.

A general library adds up quarters part by part, so that after four bars of 2/4
beside 6/8 the parts are four quarters apart to the end of the piece. Here bars
are laid first, and each part's notes are placed inside its own bars.

Clock time is counted in *felt beats at the tempo of the first bar*, as exact
fractions. A bar reached by note = note therefore shows the change in its length.
"""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction

from msgspec import Struct

from companion.rhythm.meter import Meter, parse
from companion.score.model import Note, Score


class BarPlace(Struct, frozen=True):
    """Where one bar of one part stands on the shared clock."""

    start: Fraction
    """Clock time of its left barline."""
    length: Fraction
    """Clock time to its right barline."""
    pace: Fraction
    """Clock time of one written quarter of this part in this bar."""
    lead: Fraction
    """Clock time missing before its first note: a pickup of one beat in 2/4 leads by 1."""
    meter: Meter | None

    @property
    def end(self) -> Fraction:
        """Clock time of the right barline."""
        return self.start + self.length


class Bar(Struct, frozen=True):
    """One bar of the score: the one commands, screens and players count."""

    number: int
    """Ordinal position, from 1 through the file."""
    label: str
    """As the page prints it; empty if it does not."""
    movement: int
    start: Fraction
    """Clock time of its left barline."""
    length: Fraction
    """Clock time it lasts."""
    name: str
    """How it is called inside its movement: its label if no other bar there has it, else its
    place, `@97`."""

    @property
    def end(self) -> Fraction:
        """Clock time of the right barline."""
        return self.start + self.length


class Assumption(Struct, frozen=True):
    """Something the page leaves open and the program decided, so that a player can object."""

    bar: int
    """Ordinal position of the bar it begins to matter; 0 for the whole score."""
    what: str
    """`tempo relation`, `time signature`, `pickup`, `short bar`, `long bar`, `barlines`,
    `missing bars`, `playing order`, `reading`."""
    value: str
    """What was assumed, such as `beat = beat`."""
    because: str
    """`player`, `mark`, `custom`, `barlines` (another part holds the bar's length) or `source`."""
    parts: tuple[str, ...] = ()
    """Ids of the parts it is about; empty for all."""


class Clock(Struct, frozen=True):
    """A score's bars, and every part's bars, laid in common time."""

    score: Score
    bars: tuple[Bar, ...]
    """At least one."""
    places: tuple[tuple[BarPlace, ...], ...]
    """For each part in order, one place for each of its own bars."""
    assumptions: tuple[Assumption, ...]
    """Everything that was decided, in order of bars."""
    barlines_coincide: bool
    """False if parts have barlines of their own and only the unit is common."""

    @property
    def end(self) -> Fraction:
        """Clock time at which the score is over."""
        return self.bars[-1].end

    def onset(self, part: int, bar: int, note: Note) -> Fraction:
        """Clock time at which a note of the part's own bar (both from 0) begins."""
        place = self.places[part][bar]
        return place.start + Fraction(note.onset, self.score.ticks) * place.pace

    def own_bar_at(self, part: int, time: Fraction) -> int:
        """Index of the part's own bar sounding at a clock time (the last one after the end)."""
        return max(0, bisect_right(self.places[part], time, key=lambda place: place.start) - 1)

    def meter_at(self, part: int, bar: Bar) -> Meter | None:
        """The part's meter at the start of a bar of the score."""
        places = self.places[part]
        if not places:
            return None
        if self.barlines_coincide:
            return places[bar.number - 1].meter if bar.number <= len(places) else None
        return places[self.own_bar_at(part, bar.start)].meter


def written_meter(text: str | None) -> Meter | None:
    """The meter of a bar as written; None if unmeasured."""
    return None if text is None else parse(text)

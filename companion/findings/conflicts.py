"""Where parts divide the same span into numbers that do not fit each other.

Works bar by bar on plain whole ticks: each part brings its own meter, its own
number of ticks in the bar and the ticks at which its notes begin. The ratio comes from the
notes, whether one meter is written or two: sides are parts that play there. If two meters are
written and nobody plays the other division, that is a *notated* conflict, a matter of reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from msgspec import Struct, field
from msgspec.structs import replace

from companion.findings.bar_pulls import BarOnsets, Pull, Side, pulls_in
from companion.rhythm.division import compared_beats
from companion.rhythm.meter import Meter
from companion.score.abbreviations import sounding_bar_notes
from companion.score.clock import BarPlace, Clock
from companion.score.model import Note

_SHARES = {2: "half bar", 3: "third of the bar", 4: "quarter of the bar"}


class Conflict(Struct, frozen=True):
    """A stretch of bars in which two sides pull."""

    first: int
    last: int
    ratio: tuple[int, int]
    """In lowest terms, the larger number first: (3, 2). If beats are unequal, the beats of
    both sides as they are: (4, 3)."""
    level: str
    """`beat` or `bar`: the span both sides divide."""
    basis: str
    """`meter`: it sounds between parts in different meters; `rhythm`: it sounds under one meter,
    or under meters that fit each other;
    `notated`: two meters are written, but nobody plays the other division;
    `dotted`: of four only the note is played that a dotted rhythm has, against triplets: no
    conflict of divisions but a choice, whether it falls with the triplet or as written."""
    sides: tuple[Side, Side]
    """The side with more notes first: triplets before a dotted rhythm."""
    beats: tuple[tuple[int, ...], ...] = ()
    """The felt beats it sits in, from 1, for each of its bars; an empty one, or nothing at
    all, means every beat. A triplet on the second beat says nothing about the first. Where
    parts count other beats (4/4 and 2/2), those of `compared_beats`."""

    @property
    def numbers(self) -> tuple[str, str]:
        """What is against what, as a player says it: 3 and 2; 4 and 3+2+3 if beats are
        unequal; dotted and triplet."""
        more, fewer = self.sides
        if self.is_dotted:
            return "short-long dotted" if self.is_short_first else "dotted", "triplet"
        if more.groups:
            return more.name, fewer.name
        return str(self.ratio[0]), str(self.ratio[1])

    @property
    def times(self) -> int:
        """How often the ratio comes in the beat, or in a bar that is full of it."""
        return self.sides[0].division // self.ratio[0]

    @property
    def span(self) -> str:
        """What each side divides, as a player says it: `beat`, `bar`; `half bar` for a triplet
        over two beats of four that have a place of their own in the bar."""
        if self.level == "bar" and any(self.beats):
            return _SHARES.get(self.times, "bar")
        return self.level

    def division_of(self, side: Side) -> int:
        """Into how many a side divides that span."""
        return side.division if self.span == self.level else side.division // self.times

    def name_of(self, side: Side) -> str:
        """The same as it is told: `3`; `3+2+3` if its beats are unequal."""
        return side.name if self.span == self.level else str(self.division_of(side))

    @property
    def is_notated(self) -> bool:
        """Whether it stands on the page only."""
        return self.basis == "notated"

    @property
    def is_dotted(self) -> bool:
        """Whether it is a dotted rhythm against triplets."""
        return self.basis == "dotted"

    @property
    def is_short_first(self) -> bool:
        """Whether the short note of the dotted rhythm comes first."""
        return self.is_dotted and self.sides[1].groups[0] < self.sides[1].groups[1]

    def beats_in(self, bar: int) -> tuple[int, ...]:
        """The felt beats it sits in, in one of its bars; empty for all of them."""
        return self.beats[bar - self.first] if self.beats else ()


def conflicts(bars: Iterable[tuple[int, Sequence[BarOnsets]]]) -> tuple[Conflict, ...]:
    """Maximal stretches of unchanged conflict in (ordinal, lines) bars given in order.

    Under one meter a stretch ends when a side changes. Between two meters the page says who
    reads what, so parts of a side may come and go, but each must keep its meter throughout.
    """
    going_on: list[_Stretch] = []
    found: list[Conflict] = []
    for number, lines in bars:
        meters = {line.part: line.meter for line in lines}
        for one in going_on:
            one.moved |= {part for part, meter in one.meters.items() if meters.get(part) != meter}
        here: list[_Stretch] = []
        for pull, beats in pulls_in(lines):
            before = next((one for one in going_on if one.goes_on_with(pull)), None)
            if before is None:
                here.append(_Stretch(number, pull, [beats], meters))
            else:
                going_on.remove(before)
                before.go_on(pull, beats)
                here.append(before)
        found += (one.conflict() for one in going_on)
        going_on = here
    found += (one.conflict() for one in going_on)
    return tuple(sorted(found, key=lambda c: (c.first, c.last, c.basis, c.level, c.ratio)))


class _Stretch(Struct):
    """A conflict that is still going on."""

    first: int
    pull: Pull
    beats: list[tuple[int, ...]]
    """The beats it sits in, bar by bar."""
    meters: dict[str, Meter | None]
    """Of all parts in its first bar."""
    moved: set[str] = field(default_factory=set)
    """Parts that have had another meter since."""

    def goes_on_with(self, pull: Pull) -> bool:
        if pull == self.pull or pull[2] in ("rhythm", "dotted"):
            return pull == self.pull
        (more, fewer), (more_too, fewer_too) = self.pull[3], pull[3]
        named = {*more.parts, *more_too.parts, *fewer.parts, *fewer_too.parts}
        return (
            pull[:3] == self.pull[:3]
            and not named & self.moved
            and (more.division, fewer.division) == (more_too.division, fewer_too.division)
            and (more.groups, fewer.groups) == (more_too.groups, fewer_too.groups)
            and not {*more.parts, *more_too.parts} & {*fewer.parts, *fewer_too.parts}
        )

    def go_on(self, pull: Pull, beats: tuple[int, ...]) -> None:
        ratio, level, basis, sides = self.pull
        both = tuple(
            side if side == other else replace(side, parts=_joined(side.parts, other.parts))
            for side, other in zip(sides, pull[3], strict=True)
        )
        self.pull = (ratio, level, basis, (both[0], both[1]))
        self.beats.append(beats)

    def conflict(self) -> Conflict:
        ratio, level, basis, sides = self.pull
        placed = tuple(self.beats) if any(self.beats) else ()
        last = self.first + len(self.beats) - 1
        return Conflict(self.first, last, ratio, level, basis, sides, placed)


def _joined(one: tuple[str, ...], other: tuple[str, ...]) -> tuple[str, ...]:
    return (*one, *(part for part in other if part not in one))


def divided_bar(clock: Clock, conflict: Conflict, bar: int) -> BarPlace:
    """One of a conflict's bars, as the part has it whose beats the conflict counts."""
    named = {*conflict.sides[0].parts, *conflict.sides[1].parts}
    places = [
        column[bar - 1]
        for part, column in zip(clock.score.parts, clock.places, strict=True)
        if part.id in named and bar <= len(column)
    ]
    meter = compared_beats(place.meter for place in places if place.meter)
    return next(place for place in places if place.meter == meter)


# From the laid score to the plain lines compared above.


def conflicts_of(clock: Clock) -> tuple[Conflict, ...]:
    """Every conflict of a score whose barlines coincide; none if they travel apart, and none
    across the end of a movement."""
    if not clock.barlines_coincide:
        return ()
    movements = groupby(_bars(clock), lambda bar: clock.bars[bar[0] - 1].movement)
    return tuple(conflict for _, bars in movements for conflict in conflicts(bars))


def _bars(clock: Clock) -> Iterator[tuple[int, list[BarOnsets]]]:
    meters = {place.meter for column in clock.places for place in column if place.meter}
    unit = _fine_ticks(clock.score.ticks, meters)
    full = {meter: int(meter.length * unit) for meter in meters}
    parts = clock.score.parts
    fineness = unit // clock.score.ticks
    for index in range(len(clock.bars)):
        lines: list[BarOnsets] = []
        for part, places in zip(parts, clock.places, strict=True):
            if index < len(places) and (meter := places[index].meter):
                place = places[index]
                lead = round(place.lead / place.pace * unit) if place.lead else 0
                notes = sounding_bar_notes(part.bars[index], clock.score.ticks)
                struck = _struck(notes, part.staves, lead, fineness)
                lines += [BarOnsets(part.id, meter, full[meter], onsets) for onsets in struck]
        yield index + 1, lines


def _fine_ticks(ticks: int, meters: Iterable[Meter]) -> int:
    """So many ticks to the quarter that every felt beat is a whole number of them."""
    for meter in meters:
        for beat in meter.beats:
            ticks *= (beat * ticks).denominator
    return ticks


def _struck(notes: Sequence[Note], staves: int, lead: int, fineness: int) -> list[tuple[int, ...]]:
    """When notes begin, staff by staff, so that two hands at one instrument can pull against
    each other; one empty tuple for a bar of rest."""
    if staves == 1:
        onsets = {lead + note.onset * fineness for note in notes if note.is_struck}
        return [tuple(sorted(onsets))]
    by_staff: dict[int, set[int]] = {}
    for note in notes:
        if note.is_struck:
            by_staff.setdefault(note.staff, set()).add(lead + note.onset * fineness)
    return [tuple(sorted(by_staff[staff])) for staff in sorted(by_staff)] or [()]


def onsets(clock: Clock, part: int, first: Fraction, last: Fraction) -> tuple[Fraction, ...]:
    """Clock times from `first` up to but not including `last` at which a part strikes a note."""
    found: set[Fraction] = set()
    places = clock.places[part]
    if not places:
        return ()
    for index in range(clock.own_bar_at(part, first), len(places)):
        if places[index].start >= last:
            break
        bar = clock.score.parts[part].bars[index]
        for note in sounding_bar_notes(bar, clock.score.ticks):
            if note.is_struck:
                found.add(clock.onset(part, index, note))
    return tuple(sorted(onset for onset in found if first <= onset < last))

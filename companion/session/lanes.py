"""A passage as lanes: for every part what is struck, what lasts, and where both sides cut.

All times are exact clock times. A screen only turns them into columns, so that what is
drawn above a note can never stand for another moment than the note does. The cuts are the
ones the click strikes: both are taken from the same beats.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from companion.click.plan.beats import beats, full_start, is_inside
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict, divided_bar, onsets
from companion.score.abbreviations import sounding_bar_notes
from companion.score.clock import Bar, BarPlace, Clock
from companion.score.passage import Passage

LaneStretch = tuple[Fraction, Fraction]
"""Clock times from and to."""


@dataclass(frozen=True, slots=True)
class LaneNote:
    """Where a note begins."""

    at: Fraction
    """Clock time."""
    pitch: str
    """As written, the first of a chord; empty if it has none."""


@dataclass(frozen=True, slots=True)
class Lane:
    """One part in a passage."""

    part: int
    """Index of the part, from 0."""
    name: str
    """As printed."""
    strokes: tuple[LaneNote, ...]
    """In order, one at each time."""
    sounding: tuple[LaneStretch, ...]
    """While any note lasts; in order, apart from each other."""
    meters: tuple[str, ...]
    """The meter in each bar of the passage; empty if unmeasured."""
    beats: tuple[Fraction, ...]
    """Clock times of its felt beats, in order."""
    barlines: tuple[Fraction, ...]
    """Clock times of its own barlines, in order."""


@dataclass(frozen=True, slots=True)
class BeatCut:
    """One of the equal pieces into which a side divides a beat or a bar."""

    at: Fraction
    """Clock time at which it begins."""
    count: int
    """Its number in the beat or bar, from 1."""


@dataclass(frozen=True, slots=True)
class Ruling:
    """The cuts of both sides in one bar. Both empty if nothing pulls."""

    upper: tuple[BeatCut, ...] = ()
    """My side; where I am on neither, the side the other lane is not on."""
    lower: tuple[BeatCut, ...] = ()
    """The other side."""
    conflict: Conflict | None = None
    """Whose cuts they are."""
    divisions: tuple[str, str] = ("", "")
    """What is counted above and below: `in 3`, `dotted`; empty if nothing pulls."""


@dataclass(frozen=True, slots=True)
class Lanes:
    """Everything there is to draw of a passage, with two lanes facing each other."""

    bars: tuple[Bar, ...]
    """The bars of the passage."""
    mine: Lane
    """The player's own part."""
    facing: Lane
    """The part it is compared with; the same one in a solo."""
    others: tuple[Lane, ...]
    """The remaining parts from the top of the page."""
    rulings: tuple[Ruling, ...]
    """One for each bar."""
    labels: tuple[str, ...]
    """The printed number of each bar, after its rehearsal mark if it has one: `13`, `C 49`."""
    clock: Clock
    """What all times are on, and where the notes are."""


def lanes_of(
    passage: Passage,
    conflicts: Sequence[Conflict],
    facing: int,
    marks: Mapping[int, str] = MappingProxyType({}),
) -> Lanes:
    """Lay out a passage against the part with index `facing`.

    `marks` are the score's rehearsal marks by the ordinal position of their bar.
    """
    clock = passage.clock
    drawn = [lane(clock, part, passage.bars) for part in range(len(clock.places))]
    others = tuple(one for one in drawn if one.part not in {passage.part, facing})
    rulings = tuple(ruling(passage, conflicts, facing, bar) for bar in passage.bars)
    labels = tuple(f"{marks.get(bar.number, '')} {bar.name}".strip() for bar in passage.bars)
    return Lanes(passage.bars, drawn[passage.part], drawn[facing], others, rulings, labels, clock)


def part_alone(clock: Clock, part: int, bars: Sequence[Bar], labels: Sequence[str]) -> Lanes:
    """One part with nothing facing it, each bar under its label."""
    own = lane(clock, part, bars)
    return Lanes(tuple(bars), own, own, (), (Ruling(),) * len(bars), tuple(labels), clock)


def first_facing(passage: Passage, conflicts: Sequence[Conflict]) -> int:
    """The part to compare with at first: one that pulls against mine, else the next that plays."""
    ids = [part.id for part in passage.clock.score.parts]
    for bar in passage.bars:
        for conflict in in_bar(conflicts, bar.number):
            for mine, other in (conflict.sides, conflict.sides[::-1]):
                if passage.part_id in mine.parts:
                    return ids.index(other.parts[0])
    others = [(passage.part + by) % len(ids) for by in range(1, len(ids))]
    start, end = passage.start, passage.end
    playing = (part for part in others if onsets(passage.clock, part, start, end))
    return next(playing, others[0] if others else passage.part)


def in_bar(conflicts: Sequence[Conflict], number: int) -> list[Conflict]:
    """The conflicts that sound in a bar, by its ordinal position."""
    return [one for one in conflicts if one.first <= number <= one.last and not one.is_notated]


def lane(clock: Clock, part: int, bars: Sequence[Bar]) -> Lane:
    """One part over the given bars."""
    first, last = bars[0].start, bars[-1].end
    own = [place for _, place in _own(clock, part, first, last)]
    counted = sorted({beat.at for place in own for beat in beats(place)})
    meters = [clock.meter_at(part, bar) for bar in bars]
    return Lane(
        part,
        clock.score.parts[part].name,
        tuple(_strokes(clock, part, first, last)),
        tuple(_joined(_sounding(clock, part, first, last))),
        tuple(meter.text if meter else "" for meter in meters),
        tuple(at for at in counted if first <= at < last),
        tuple(sorted({place.start for place in own} | {place.end for place in own})),
    )


def _own(
    clock: Clock, part: int, first: Fraction, last: Fraction
) -> Iterator[tuple[int, BarPlace]]:
    places = clock.places[part]
    begin = clock.own_bar_at(part, first) if places else 0
    for index in range(begin, len(places)):
        if places[index].start >= last:
            return
        if places[index].end > first:
            yield index, places[index]


def _strokes(clock: Clock, part: int, first: Fraction, last: Fraction) -> Iterator[LaneNote]:
    found: dict[Fraction, str] = {}
    for index, _ in _own(clock, part, first, last):
        for note in sounding_bar_notes(clock.score.parts[part].bars[index], clock.score.ticks):
            at = clock.onset(part, index, note)
            if note.is_struck and first <= at < last:
                found.setdefault(at, "" if note.pitch == "x" else note.pitch)
    return (LaneNote(at, found[at]) for at in sorted(found))


def _sounding(clock: Clock, part: int, first: Fraction, last: Fraction) -> Iterator[LaneStretch]:
    for index, place in _own(clock, part, first, last):
        for note in sounding_bar_notes(clock.score.parts[part].bars[index], clock.score.ticks):
            if note.is_rest or note.is_cue or note.is_grace:
                continue
            at = clock.onset(part, index, note)
            end = at + Fraction(note.length, clock.score.ticks) * place.pace
            if end > first and at < last:
                yield max(at, first), min(end, last)


def _joined(stretches: Iterator[LaneStretch]) -> Iterator[LaneStretch]:
    """Stretches that touch or overlap made one."""
    begin: Fraction | None = None
    end = Fraction(0)
    for start, stop in sorted(stretches):
        if begin is None or start > end:
            if begin is not None:
                yield begin, end
            begin, end = start, stop
        end = max(end, stop)
    if begin is not None:
        yield begin, end


def ruling(passage: Passage, conflicts: Sequence[Conflict], facing: int, bar: Bar) -> Ruling:
    """The cuts of the conflict that matters most to the two facing lanes in a bar."""
    mine, other = passage.part_id, passage.clock.score.parts[facing].id
    live = in_bar(conflicts, bar.number) if passage.clock.barlines_coincide else []
    if not live:
        return Ruling()
    conflict = max(live, key=lambda one: _closeness(one, mine, other))
    upper, lower = conflict.sides
    if mine in lower.parts or (mine not in upper.parts and other in upper.parts):
        upper, lower = lower, upper
    return Ruling(
        _cuts(passage, bar, conflict, upper),
        _cuts(passage, bar, conflict, lower),
        conflict,
        (_counted(conflict, upper), _counted(conflict, lower)),
    )


def _counted(conflict: Conflict, side: Side) -> str:
    return "dotted" if _is_dotted(conflict, side) else f"in {conflict.division_of(side)}"


def _is_dotted(conflict: Conflict, side: Side) -> bool:
    return conflict.is_dotted and side is conflict.sides[1]


def _closeness(conflict: Conflict, mine: str, other: str) -> int:
    a, b = conflict.sides
    if (mine in a.parts and other in b.parts) or (mine in b.parts and other in a.parts):
        return 2
    return int(mine in a.parts or mine in b.parts)


def _cuts(passage: Passage, bar: Bar, conflict: Conflict, side: Side) -> tuple[BeatCut, ...]:
    place = divided_bar(passage.clock, conflict, bar.number)
    cuts = _of_beats if conflict.level == "beat" else _of_bar
    # A dotted rhythm is counted by its fourths: 1 4, not 1 2.
    of = 2 * side.division if _is_dotted(conflict, side) else 0
    shares = [
        (share, int(share * of) + 1 if of else number % conflict.division_of(side) + 1)
        for number, share in enumerate(side.cuts)
    ]
    within = conflict.beats_in(bar.number)
    return tuple(
        cut
        for cut in cuts(place, shares)
        if bar.start <= cut.at < bar.end and is_inside(place, within, cut.at)
    )


def _of_beats(place: BarPlace, shares: Sequence[tuple[Fraction, int]]) -> Iterator[BeatCut]:
    for beat in beats(place):
        for share, number in shares:
            yield BeatCut(beat.at + beat.length * share, number)


def _of_bar(place: BarPlace, shares: Sequence[tuple[Fraction, int]]) -> Iterator[BeatCut]:
    if place.meter is None:
        return
    full = place.meter.length * place.pace
    for share, number in shares:
        yield BeatCut(full_start(place) + full * share, number)

"""The study sheet: the few most useful sentences for one part, in order of use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from companion.findings.all_findings import find_all
from companion.findings.conflicts import Conflict, onsets
from companion.rhythm.counting import count_aloud, count_bar, is_spoken_by_halves, where_it_falls
from companion.rhythm.meter import Meter
from companion.session.open_score import OpenScore
from companion.wording.advice import Advice, Topic, advise
from companion.wording.findings_sentences import unequal_count_told
from companion.wording.phrases import against_told, count_told, dotted_count_told

_MOST = {
    Topic.FORM: 3,
    Topic.CONFLICT: 4,
    Topic.DOTTED: 2,
    Topic.GROUPING: 2,
    Topic.HEMIOLA: 2,
    Topic.DISPLACEMENT: 2,
    Topic.BARLINES: 1,
    Topic.FEEL: 3,
    Topic.INTERLOCK: 2,
    Topic.ENTRANCE: 3,
    Topic.HANDED_ON: 2,
    Topic.RHYTHM: 1,
    Topic.DOUBLING: 2,
}
"""How many sentences of each kind a sheet has at most: a player reads a page, not a list."""

COUNTED_BARS = 16
"""Bars that a study of named bars counts aloud at most."""


@dataclass(frozen=True, slots=True)
class Study:
    """The score explained to the player of one part."""

    part_id: str
    """The part's id."""
    part_name: str
    """The part's printed name."""
    first: int
    """Ordinal position of the first bar studied."""
    last: int
    """Ordinal position of the last bar studied."""
    everything: tuple[Advice, ...]
    """All that was found, in order of use, then of bars."""
    sheet: tuple[Advice, ...]
    """The few most useful of it."""
    counts: tuple[CountedBar, ...]
    """How to count each bar aloud, where single bars were asked for."""


def study(open_score: OpenScore, part: int, span: tuple[int, int] | None = None) -> Study:
    """Explain a score, or some bars of it, to the player of one part."""
    first, last = span or (1, len(open_score.clock.bars))
    found = tuple(
        each
        for each in advise(open_score, find_all(open_score.clock, open_score.conflicts), part)
        if each.first <= last and each.last >= first
    )
    counted = range(first, min(last, first + COUNTED_BARS - 1) + 1) if span else range(0)
    return Study(
        open_score.score.parts[part].id,
        open_score.score.parts[part].name,
        first,
        last,
        found,
        few(found),
        tuple(counts(open_score, part, counted)),
    )


def few(found: Sequence[Advice]) -> tuple[Advice, ...]:
    """The weightiest of each kind, in the order they were given."""
    kept: list[Advice] = []
    for topic, most in _MOST.items():
        kind = [each for each in found if each.topic is topic]
        kept += sorted(kind, key=lambda each: (-each.weight, each.first))[:most]
    return tuple(each for each in found if any(each is one for one in kept))


# How to count a bar aloud: in my division, in theirs, and both in one count.


@dataclass(frozen=True, slots=True)
class CountedBar:
    """The counts of one bar for one player."""

    bar: int
    """Ordinal position."""
    mine: str
    """In my meter."""
    theirs: tuple[tuple[str, str], ...]
    """(meter, count) for each other meter that sounds in the bar."""
    together: tuple[tuple[str, str], ...]
    """(ratio, count with who strikes where) for each conflict my part is in."""


def counts(open_score: OpenScore, part: int, bars: Iterable[int]) -> Iterator[CountedBar]:
    """Counts of the bars in which the part has a meter."""
    me = open_score.score.parts[part].id
    for number in bars:
        bar = open_score.clock.bars[number - 1]
        meter = open_score.clock.meter_at(part, bar)
        if meter is None:
            continue
        others = {
            other.text: other
            for index in range(len(open_score.score.parts))
            if (other := open_score.clock.meter_at(index, bar)) is not None and other != meter
        }
        together = tuple(
            (against_told(pull.numbers), _together(pull))
            for pull in open_score.conflicts
            if pull.first <= number <= pull.last
            and not pull.is_notated
            and any(me in side.parts for side in pull.sides)
        )
        yield CountedBar(
            number,
            count_bar(meter, _struck(open_score, part, number, meter)),
            tuple((text, count_bar(other)) for text, other in others.items()),
            together,
        )


def _together(pull: Conflict) -> str:
    if pull.is_dotted:
        return dotted_count_told(is_short_first=pull.is_short_first)
    if pull.sides[0].groups:
        return unequal_count_told(pull.sides)
    m, n = pull.ratio
    if is_spoken_by_halves(m, n):
        where = f"{m} on every number, {n} on {where_it_falls(m, n)}"
        return f"{count_aloud(m, n)} in the {pull.level}: {where}"
    return f"{count_told(m, n)}, in the {pull.level}"


def _struck(open_score: OpenScore, part: int, number: int, meter: Meter) -> tuple[Fraction, ...]:
    """Quarters after where the full bar begins at which the part strikes."""
    bar = open_score.clock.bars[number - 1]
    place = open_score.clock.places[part][open_score.clock.own_bar_at(part, bar.start)]
    return tuple(
        (at - place.start + place.lead) / place.pace
        for at in onsets(open_score.clock, part, place.start, min(place.end, open_score.clock.end))
        if (at - place.start + place.lead) / place.pace < meter.length
    )

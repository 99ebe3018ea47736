"""The study sheet: the few most useful sentences for one part, in order of use."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain, groupby, zip_longest
from textwrap import wrap

from companion.findings.all_findings import Findings, find_all
from companion.findings.conflicts import Conflict, onsets
from companion.rhythm.counting import count_bar, is_spoken_by_halves
from companion.rhythm.meter import Meter
from companion.session.open_score import OpenScore
from companion.wording.advice import Advice, Topic, advise
from companion.wording.findings_sentences import divisions_told, unequal_count_told
from companion.wording.phrases import (
    BarNaming,
    against_told,
    bar_spans,
    count_told,
    counted,
    dotted_count_told,
)
from companion.wording.score_sentences import bar_span_told

PAGE_LINES = 52
"""Lines of the sentences for one movement: with title and foot, a page of 60."""
PAGE_WIDTH = 80
"""Columns a line of that page has."""
_MIXED_LINES = 20
"""Lines of the page that passages in mixed meters may take before they are counted instead."""

_LONG_COUNT = 40
"""Characters of a count that may be repeated."""
_AGAIN = 6
"""How many places at which something comes again are named."""

_MOST = {
    Topic.CONFLICT: 6,
    Topic.DOTTED: 2,
    Topic.GROUPING: 3,
    Topic.HEMIOLA: 3,
    Topic.DISPLACEMENT: 3,
    Topic.BARLINES: 6,
    Topic.FEEL: 6,
    Topic.INTERLOCK: 3,
    Topic.ENTRANCE: 4,
    Topic.FORM: 3,
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
    """The most useful of it, a page for each movement; what comes again is told once."""
    left: tuple[Advice, ...]
    """What is not on the sheet."""
    counts: tuple[CountedBar, ...]
    """How to count each bar aloud, where single bars were asked for."""


def study(open_score: OpenScore, part: int, span: tuple[int, int] | None = None) -> Study:
    """Explain a score, or some bars of it, to the player of one part."""
    return studies(open_score, [part], span)[0]


def studies(
    open_score: OpenScore, parts: Iterable[int], span: tuple[int, int] | None = None
) -> list[Study]:
    """The same for several players; the score is looked through once."""
    findings = find_all(open_score.clock, open_score.conflicts)
    return [_study(open_score, findings, part, span) for part in parts]


def _study(
    open_score: OpenScore, findings: Findings, part: int, span: tuple[int, int] | None
) -> Study:
    bars = open_score.clock.bars
    first, last = span or (1, len(bars))
    found = [
        each
        for each in advise(open_score, findings, part)
        if each.first <= last and each.last >= first
    ]

    def name(one: int, other: int) -> str:
        return bar_span_told(open_score, one, other)

    sheet: list[Advice] = []
    left: list[Advice] = []
    for _, of_movement in groupby(
        sorted(found, key=lambda each: bars[each.first - 1].movement),
        key=lambda each: bars[each.first - 1].movement,
    ):
        on_page, others = page(tuple(of_movement), name)
        sheet += on_page
        left += others
    counted = range(first, min(last, first + COUNTED_BARS - 1) + 1) if span else range(0)
    return Study(
        open_score.score.parts[part].id,
        open_score.score.parts[part].name,
        first,
        last,
        tuple(once(found, name, lambda each: (each.topic, each.alike, each.first, each.last))),
        tuple(sheet),
        tuple(left),
        tuple(counts(open_score, part, counted)),
    )


def once(
    found: Iterable[Advice], name: BarNaming, key: Callable[[Advice], Hashable]
) -> Iterator[Advice]:
    """The first of those with one key in full; the bars of the others, and against whom."""
    alike: dict[Hashable, list[Advice]] = {}
    for each in found:
        alike.setdefault(key(each) if each.alike else id(each), []).append(each)
    for first, *later in alike.values():
        text = first.text
        places: dict[tuple[str, str], list[int]] = {}
        here = first.against, first.place
        for each in later:
            bars = set(range(each.first, each.last + 1))
            if (each.against, each.place) == here:
                bars -= set(range(first.first, first.last + 1))
            places.setdefault((each.against, each.place), []).extend(bars)
        told = [
            f"{f'against {whom} ' if whom != first.against else ''}in {_some(bars, first, name)}"
            f"{f', {_each(place)}' if place != first.place else ''}"
            for (whom, place), bars in places.items()
            if bars
        ]
        if told:
            text += f" And again {'; '.join(told)}."
        most = max([first, *later], key=lambda each: each.exposure)
        if most.exposure > first.exposure:
            text += f" Most exposed in {name(most.first, most.last)}."
        yield replace(
            first,
            text=text,
            weight=max(each.weight for each in (first, *later)),
            exposure=most.exposure,
            times=1 + len(later),
        )


def _each(place: str) -> str:
    return "each beat" if place == "the beat" else place


def _some(bars: Sequence[int], first: Advice, name: BarNaming) -> str:
    """The bars by name: the first few stretches, of mixed meters all."""
    ordered = sorted(set(bars))
    begins = [bar for at, bar in enumerate(ordered) if not at or ordered[at - 1] < bar - 1]
    left = 0 if first.is_mixed_meter else len(begins[_AGAIN:])
    if left:
        ordered = [bar for bar in ordered if bar < begins[_AGAIN]]
    return bar_spans(ordered, name) + (f", and {counted(left, 'more place')}" if left else "")


def page(found: Sequence[Advice], name: BarNaming) -> tuple[list[Advice], list[Advice]]:
    """What a page for one movement holds, and what is left. The most exposed, then the
    weightiest of each kind first; mixed meters before all others."""
    groups = list(once(found, name, lambda each: (each.topic, each.alike)))
    groups.sort(key=lambda each: (-each.exposure, -each.weight, each.first))
    kept: list[Advice] = []
    count: Counter[Topic] = Counter()
    lines = 0
    for is_mixed in (True, False):
        room = _MIXED_LINES if is_mixed else PAGE_LINES
        # Round by round, so that no kind takes the page from the others.
        rounds = [
            [each for each in groups if each.topic is topic and each.is_mixed_meter is is_mixed]
            for topic in _MOST
        ]
        for each in filter(None, chain.from_iterable(zip_longest(*rounds))):
            heading = 0 if count[each.topic] else 2
            more = heading + len(lines_of(each))
            if lines + more > room or (not is_mixed and count[each.topic] >= _MOST[each.topic]):
                continue
            kept.append(each)
            count[each.topic] += 1
            lines += more
    order = list(Topic)
    kept.sort(key=lambda each: (order.index(each.topic), -each.exposure, each.first))
    told = {(each.topic, each.alike or each.text) for each in kept}
    left = [each for each in groups if (each.topic, each.alike or each.text) not in told]
    return list(_counted_once(kept, name)), left


def _counted_once(kept: Iterable[Advice], name: BarNaming) -> Iterator[Advice]:
    """A long count is said once on a page; the others refer to it."""
    told: dict[str, Advice] = {}
    for each in kept:
        model = told.setdefault(each.count, each)
        if len(each.count) <= _LONG_COUNT or model is each:
            yield each
        else:
            short = f"Count as in {name(model.first, model.last)}."
            yield replace(each, text=each.text.replace(each.count, short))


def headed(open_score: OpenScore, chosen: Sequence[Advice]) -> Iterator[tuple[str, list[Advice]]]:
    """Sentences under what they are about; with the movement if there are several."""
    bars = open_score.clock.bars

    def heading(advice: Advice) -> str:
        movement = bars[advice.first - 1].movement
        topic = f"{advice.topic[0].upper()}{advice.topic[1:]}"
        return topic if bars[-1].movement == 1 else f"Movement {movement}: {topic.lower()}"

    for head, group in groupby(chosen, heading):
        yield head, list(group)


def lines_of(advice: Advice, width: int = PAGE_WIDTH) -> list[str]:
    """A sentence wrapped to a page."""
    return wrap(advice.marked_text, width, initial_indent="  ", subsequent_indent="    ")


def left_told(left: Sequence[Advice], name: BarNaming) -> str:
    """What is not on the sheet: how many of which kind, mixed meters by their bars."""
    count = Counter(each.topic for each in left)
    kinds = [f"{each}: {count[each]}" for each in Topic if count[each]]
    mixed = [
        bar for each in left if each.is_mixed_meter for bar in range(each.first, each.last + 1)
    ]
    bars = f" Mixed meters also in {bar_spans(mixed, name)}." if mixed else ""
    return f"And {len(left)} more ({', '.join(kinds)}).{bars}"


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
    """(ratio, count with where each side divides) for each conflict my part is in."""

    @property
    def said(self) -> tuple[object, ...]:
        """The same for bars that are counted alike."""
        return self.mine, self.theirs, self.together


def counted_alike(counted: Sequence[CountedBar]) -> Iterator[tuple[CountedBar, int]]:
    """The first bar of each row of bars that are counted alike, and the last one's position. A
    bar without a count of its own, having no meter, ends a row."""
    places = enumerate(counted)
    for _, row in groupby(places, key=lambda each: (each[1].said, each[1].bar - each[0])):
        alike = [count for _, count in row]
        yield alike[0], alike[-1].bar


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
        count, divided = divisions_told(pull, None)
        return f"{count} in the {pull.span}: {divided}"
    return f"{count_told(m, n)}, in the {pull.span}"


def _struck(open_score: OpenScore, part: int, number: int, meter: Meter) -> tuple[Fraction, ...]:
    """Quarters after where the full bar begins at which the part strikes."""
    bar = open_score.clock.bars[number - 1]
    place = open_score.clock.places[part][open_score.clock.own_bar_at(part, bar.start)]
    return tuple(
        (at - place.start + place.lead) / place.pace
        for at in onsets(open_score.clock, part, place.start, min(place.end, open_score.clock.end))
        if (at - place.start + place.lead) / place.pace < meter.length
    )

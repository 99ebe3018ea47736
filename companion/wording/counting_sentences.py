"""A bar of a passage in sentences: its conflict, how to count it, its meters."""

from __future__ import annotations

from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.score.clock import Bar
from companion.score.passage import Passage
from companion.session.lanes import in_bar, ruling
from companion.session.open_score import OpenScore
from companion.wording.findings_sentences import divisions_told
from companion.wording.period_sentences import period_told
from companion.wording.phrases import dotted_count_told, listed
from companion.wording.score_sentences import bar_span_told, conflict_told, meters_told, names_told


def bar_in_words(open_score: OpenScore, passage: Passage, facing: int, bar: Bar) -> list[str]:
    """What pulls in a bar, how to count it, and the meters, a line each."""
    where = bar_span_told(open_score, bar.number, bar.number)
    where = f"{where[:1].upper()}{where[1:]}"
    conflict = ruling(passage, open_score.conflicts, facing, bar).conflict
    if conflict is None:
        return [
            _period_here(open_score, passage, bar, where)
            or f"{where}: {_why_none(open_score, bar)}",
            _beats_told(passage, bar),
            _meters(open_score, bar),
        ]
    more = len(in_bar(open_score.conflicts, bar.number)) - 1
    also = f" (and {more} more)" if more else ""
    return [
        f"{where}: {conflict_told(open_score, conflict)}{also}",
        counting_told(open_score, passage, conflict, bar.number, facing),
        _meters(open_score, bar),
    ]


def counting_told(
    open_score: OpenScore, passage: Passage, conflict: Conflict, bar: int, facing: int
) -> str:
    """`Count: 1 2& 3 in each beat; 3 (you) divides at every number, 2 (Violin II) at 1 and the
    & of 2`.

    It tells where the divisions are and not who strikes there: a side may rest, or hold a note
    over. A side is named by the part it is compared with, if that is one of it, else by its
    first; the sentence of the conflict names the others.
    """
    beats = conflict.beats_in(bar)
    which = f"beat{'s' if len(beats) > 1 else ''} {listed([str(beat) for beat in beats])}"
    where = f"in {which}" if beats else "in each beat"
    span = "across the bar" if conflict.span == "bar" else where
    if conflict.is_dotted:
        count = dotted_count_told(is_short_first=conflict.is_short_first)
        return f"{count[:1].upper()}{count[1:]}, {span}"
    mine = next((side for side in conflict.sides if passage.part_id in side.parts), None)
    other = open_score.score.parts[facing].id

    def named(side: Side) -> str:
        if side == mine:
            return "you"
        return names_told(open_score, (other if other in side.parts else side.parts[0],))

    count, divided = divisions_told(conflict, mine, named)
    return f"Count: {count} {span}; {divided}"


def _period_here(open_score: OpenScore, passage: Passage, bar: Bar, where: str) -> str:
    """What pulls against the meter in my part, and how to count it; empty for nothing."""
    me = passage.part_id
    names = {part.id: part.name for part in open_score.score.parts}
    for period in open_score.periods:
        if period.is_of(me) and period.first <= bar.number <= period.last:
            return period_told(period, me, names, lambda *_: where).removesuffix(".")
    return ""


def _why_none(open_score: OpenScore, bar: Bar) -> str:
    for conflict in open_score.conflicts:
        if conflict.first <= bar.number <= conflict.last and conflict.is_notated:
            return conflict_told(open_score, conflict)
    if open_score.clock.barlines_coincide:
        return "no conflict here"
    return "the parts have different barlines, so bars are not compared"


def _beats_told(passage: Passage, bar: Bar) -> str:
    meter = passage.clock.meter_at(passage.part, bar)
    if meter is None:
        return "Count: no meter; in quarters"
    numbers = " ".join(str(number) for number in range(1, len(meter.beats) + 1))
    if len(set(meter.divisions)) == 1:
        return f"Count: {numbers}; each beat divides into {meter.divisions[0]}"
    return f"Count: {numbers}; the beats divide into {' '.join(map(str, meter.divisions))}"


def _meters(open_score: OpenScore, bar: Bar) -> str:
    return f"Meters: {meters_told(open_score, bar.number)}"

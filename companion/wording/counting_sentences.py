"""A bar of a passage in sentences: its conflict, how to count it, its meters."""

from __future__ import annotations

from companion.findings.conflicts import Conflict
from companion.rhythm.counting import (
    count_aloud,
    count_pulses,
    is_spoken_by_halves,
    pulses_of_beats,
    where_it_falls,
)
from companion.score.clock import Bar
from companion.score.passage import Passage
from companion.session.lanes import in_bar, ruling
from companion.session.open_score import OpenScore
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
        counting_told(open_score, passage, conflict, bar.number),
        _meters(open_score, bar),
    ]


def counting_told(open_score: OpenScore, passage: Passage, conflict: Conflict, bar: int) -> str:
    """`Count: 1 2& 3 in each beat; you on every number, Violin II on 1 and the & of 2`.

    A side is named by its first part; the sentence of the conflict names the others.
    """
    more, fewer = conflict.sides
    beats = conflict.beats_in(bar)
    which = f"beat{'s' if len(beats) > 1 else ''} {listed([str(beat) for beat in beats])}"
    where = f"in {which}" if beats else "in each beat"
    span = "across the bar" if conflict.span == "bar" else where
    if conflict.is_dotted:
        count = dotted_count_told(is_short_first=conflict.is_short_first)
        return f"{count[:1].upper()}{count[1:]}, {span}"
    mine = next((side for side in conflict.sides if passage.part_id in side.parts), None)
    if more.groups:
        places = {side: pulses_of_beats(side.groups) for side in conflict.sides}
        count = count_pulses(more.groups)
    else:
        # If halves name every stroke both sides say one count; otherwise each its own.
        is_common = is_spoken_by_halves(*map(conflict.division_of, (more, fewer)))
        own, other = (fewer, more) if mine == fewer and not is_common else (more, fewer)
        divisions = conflict.division_of(own), conflict.division_of(other)
        places = {own: "every number", other: where_it_falls(*divisions)}
        count = count_aloud(*divisions)
    order = (more, fewer) if mine is None or mine == more else (fewer, more)
    told = ", ".join(
        f"{'you' if side == mine else names_told(open_score, side.parts[:1])} on {places[side]}"
        for side in order
    )
    return f"Count: {count} {span}; {told}"


def _period_here(open_score: OpenScore, passage: Passage, bar: Bar, where: str) -> str:
    """What pulls against the meter in my part, and how to count it; empty for nothing."""
    me = passage.part_id
    names = {part.id: part.name for part in open_score.score.parts}
    for period in open_score.periods:
        if me in period.parts and period.first <= bar.number <= period.last:
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

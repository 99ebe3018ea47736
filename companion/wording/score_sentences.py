"""What a score holds at a bar, in the words `companion map` uses.

A screen and a command that named the same conflict differently would make a player
look for two things where there is one.
"""

from __future__ import annotations

from collections.abc import Iterable

from companion.findings.conflicts import Conflict
from companion.findings.periods import Period
from companion.score.bar_numbers import span_name
from companion.score.clock import Assumption
from companion.session.open_score import OpenScore
from companion.wording.period_sentences import period_named, period_told
from companion.wording.phrases import bars_told, division_told

BECAUSE = {
    "player": "your own setting",
    "mark": "a mark in the score",
    "custom": "custom",
    "barlines": "the barlines of the others",
    "source": "what the file says",
}
"""Who decided an assumption, to be read after "by"."""


def meters_told(open_score: OpenScore, number: int) -> str:
    """The meters of one bar: `6/8`, or `6/8 Violin I, Viola · 2/4 Cello` where they differ."""
    bar = open_score.clock.bars[number - 1]
    by_meter: dict[str, list[str]] = {}
    for index, part in enumerate(open_score.score.parts):
        meter = open_score.clock.meter_at(index, bar)
        by_meter.setdefault(meter.text if meter else "unmeasured", []).append(part.id)
    if len(by_meter) == 1:
        return f"{next(iter(by_meter))} in every part"
    return " · ".join(f"{meter} {names_told(open_score, ids)}" for meter, ids in by_meter.items())


def conflict_told(open_score: OpenScore, conflict: Conflict) -> str:
    """`3 against 2 in the beat, as written: Violin II, Cello in 3 · Viola in 2`."""
    names = {part.id: part.name for part in open_score.score.parts}
    sides = [
        (conflict.name_of(side), [names[part] for part in side.parts]) for side in conflict.sides
    ]
    return division_told(conflict.numbers, conflict.span, conflict.basis, sides)


def pull_in_time_told(open_score: OpenScore, period: Period) -> str:
    """`bars 4–7: hemiola, two bars of three felt as three of two: Viola`."""
    names = {part.id: part.name for part in open_score.score.parts}
    told = period_told(period, "", names, lambda *bars: bar_span_told(open_score, *bars))
    return told[0].lower() + told[1:].removesuffix(".")


def finding_told(open_score: OpenScore, one: Conflict | Period) -> str:
    """What pulls, with its bars: `bars 13–20, 3 against 2 in the beat, as written: …`."""
    if isinstance(one, Conflict):
        return f"{bar_span_told(open_score, one.first, one.last)}, {conflict_told(open_score, one)}"
    return pull_in_time_told(open_score, one)


def conflict_label(conflict: Conflict, between: str = ":") -> str:
    """What stands over its bars on a map: `3:2`; `(3:2)` on the page only; `dot:3`."""
    if conflict.is_dotted:
        return "dot:3"
    ratio = between.join(conflict.numbers)
    return f"({ratio})" if conflict.is_notated else ratio


def pull_label(open_score: OpenScore, bar: int) -> str:
    """What pulls in a bar, an ordinal position, as the map names it; empty if nothing does."""
    for conflict in open_score.conflicts:
        if conflict.first <= bar <= conflict.last:
            return conflict_label(conflict)
    here = (one for one in open_score.periods if one.first <= bar <= one.last)
    return next(("".join(period_named(one)) for one in here), "")


def assumption_told(open_score: OpenScore, assumption: Assumption) -> str:
    """`bar 13: tempo relation: beat = beat, by custom (Violin I)`."""
    who = f" ({names_told(open_score, assumption.parts)})" if assumption.parts else ""
    where = (
        f"{bar_span_told(open_score, assumption.bar, assumption.bar)}: " if assumption.bar else ""
    )
    return f"{where}{assumption.what}: {assumption.value}, by {BECAUSE[assumption.because]}{who}"


def bar_span_told(open_score: OpenScore, first: int, last: int) -> str:
    """`bars 13–20`, `bar II:225`; `bars @20–@22 (5–7 again)` in an unfolded score."""
    bars = open_score.clock.bars
    told = bars_told(first, last, span_name(open_score.clock, first, last))
    ends = [bars[first - 1].label, bars[last - 1].label]
    if all(end.startswith("(") and end.endswith(")") for end in ends):
        told += f" ({'–'.join(dict.fromkeys(end[1:-1] for end in ends))} again)"
    return told


def names_told(open_score: OpenScore, ids: Iterable[str]) -> str:
    """Parts by their printed names."""
    names = {part.id: part.name for part in open_score.score.parts}
    return ", ".join(names[id_] for id_ in ids)

"""The map of a score as plain data, the same for a screen, a command and a program."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from typing import Any, TypedDict

from companion.findings.conflicts import Conflict
from companion.findings.periods import Period
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import bar_name, rehearsal_marks, span_name
from companion.score.clock import Assumption, Bar, Clock
from companion.score.playing.order import order_spans
from companion.score.tempo_map import StatedTempo, stated_tempos
from companion.session.open_score import OpenScore

MapMeters = dict[str, str | None]
Spanned = dict[str, Any]
"""What is told of some bars, `first` and `last` among it."""


class Overview(TypedDict):
    """What `map --json` prints. Bars are ordinal positions, and `printed` is what they
    are called; times are fractions in text, counted in felt beats at the tempo of the first bar."""

    title: str
    composer: str
    parts: list[dict[str, str]]
    bars: list[dict[str, object]]
    mixed_meters: list[dict[str, object]]
    conflicts: list[dict[str, object]]
    findings: list[dict[str, object]]
    """Everything that pulls, in order of bars: the conflicts again, and periods. `first` and
    `last` are ordinal positions, `printed` what the page says; `ratio` stands where two numbers
    pull, `period` (quarters) where a part returns in a length of its own. The first of the `sides`
    has more notes, the triplets, or the period."""
    assumptions: list[dict[str, object]]
    tempos: list[dict[str, object]]
    rehearsal_marks: list[dict[str, object]]
    playing_order: list[dict[str, object]]
    barlines_coincide: bool


def overview(open_score: OpenScore) -> Overview:
    """Everything the map tells about an open score."""
    score, clock = open_score.score, open_score.clock
    meters = _meters(clock)
    marks = sorted(rehearsal_marks(clock).items())
    return Overview(
        title=score.title,
        composer=score.composer,
        parts=[{"id": part.id, "name": part.name} for part in score.parts],
        bars=[_bar(clock, bar, meters[bar.number - 1]) for bar in clock.bars],
        mixed_meters=[_printed(clock, span) for span in _mixed(meters)],
        conflicts=[
            _printed(clock, _conflict(one)) for one in open_score.conflicts if not one.is_dotted
        ],
        findings=_findings(open_score),
        assumptions=[_assumption(clock, told) for told in clock.assumptions],
        tempos=[_tempo(clock, told) for told in stated_tempos(clock)],
        rehearsal_marks=[
            {"bar": bar, "printed": span_name(clock, bar, bar), "mark": text} for bar, text in marks
        ],
        playing_order=_order(open_score),
        barlines_coincide=clock.barlines_coincide,
    )


def _meters(clock: Clock) -> list[MapMeters]:
    """For each bar every part's meter as written, by the part's id."""
    ids = [part.id for part in clock.score.parts]
    return [
        {
            id_: meter.text if (meter := clock.meter_at(part, bar)) else None
            for part, id_ in enumerate(ids)
        }
        for bar in clock.bars
    ]


def _bar(clock: Clock, bar: Bar, meters: MapMeters) -> dict[str, object]:
    return {
        "bar": bar.number,
        "label": bar.label,
        "printed": bar_name(clock, bar),
        "movement": bar.movement,
        "start": str(bar.start),
        "length": str(bar.length),
        "meters": meters,
    }


def _mixed(meters: list[MapMeters]) -> Iterator[Spanned]:
    """Maximal stretches of bars with unchanged meters that are not the same for all parts."""
    first = 0
    for index, here in enumerate(meters):
        if index + 1 == len(meters) or meters[index + 1] != here:
            if len(set(here.values()) - {None}) > 1:
                yield {"first": first + 1, "last": index + 1, "meters": here}
            first = index + 1


def _printed(clock: Clock, told: Spanned) -> Spanned:
    """With the bars as the page has them."""
    return told | {"printed": span_name(clock, told["first"], told["last"])}


def _findings(open_score: OpenScore) -> list[dict[str, object]]:
    found = [(one.first, one.last, _pulling(one)) for one in open_score.conflicts]
    found += [(one.first, one.last, _period(one)) for one in open_score.periods]
    return [
        _printed(open_score.clock, {"first": first, "last": last, **rest})
        for first, last, rest in sorted(found, key=lambda row: row[:2])
    ]


def _pulling(conflict: Conflict) -> dict[str, object]:
    told: dict[str, object] = {"kind": "conflict", "ratio": "{}:{}".format(*conflict.ratio)}
    if conflict.is_notated:
        told["kind"] = "notated conflict"
    elif conflict.is_dotted:
        told = {"kind": "dotted against triplet", "short_first": conflict.is_short_first}
    return told | {
        "sides": [list(side.parts) for side in conflict.sides],
        "level": conflict.level,
        "basis": conflict.basis,
        "beats": [list(beats) for beats in conflict.beats],
        "certainty": "exact",
    }


def _period(period: Period) -> dict[str, object]:
    return {
        "kind": period.kind,
        "period": str(period.length),
        "sides": [list(period.parts), list(period.against)],
        "basis": ", ".join(period.evidence),
        "certainty": "reading",
    }


def _conflict(conflict: Conflict) -> Spanned:
    return {
        "first": conflict.first,
        "last": conflict.last,
        "ratio": "{}:{}".format(*conflict.ratio),
        "level": conflict.level,
        "basis": conflict.basis,
        "sides": [
            {
                "division": side.division,
                "parts": list(side.parts),
                **({"groups": list(side.groups)} if side.groups else {}),
            }
            for side in conflict.sides
        ],
        "beats": [list(beats) for beats in conflict.beats],
    }


def _assumption(clock: Clock, told: Assumption) -> dict[str, object]:
    return {
        "bar": told.bar,
        "printed": bar_name(clock, clock.bars[told.bar - 1]) if told.bar else "",
        "what": told.what,
        "value": told.value,
        "because": told.because,
        "parts": list(told.parts),
    }


def _order(open_score: OpenScore) -> list[dict[str, object]]:
    """Stretches of bars in the order they are played."""
    spans = order_spans(open_score.order.bars)
    return [_printed(open_score.clock, {"first": first, "last": last}) for first, last in spans]


def _tempo(clock: Clock, told: StatedTempo) -> dict[str, object]:
    bar = clock.bars[max(bisect_right(clock.bars, told.at, key=lambda bar: bar.start) - 1, 0)]
    return {
        "at": str(told.at),
        "bar": bar.number,
        "printed": bar_name(clock, bar),
        "beat": note_name(told.mark.beat),
        "per_minute": str(told.mark.per_minute),
        "because": "words" if told.words else "mark" if told.mark.is_printed else "source",
    }

"""The map of a score as plain data, the same for a screen, a command and a program."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypedDict

from companion.desk.stand import Stand
from companion.rhythm.conflicts import Conflict
from companion.rhythm.meter import note_name
from companion.score.address import rehearsal_marks
from companion.score.playing_order import playing_order, spans
from companion.score.tempo_map import stated_tempos


class Overview(TypedDict):
    """What `map --json` prints. Bars are ordinal positions; times are fractions in text,
    counted in felt beats at the tempo of the first bar."""

    title: str
    composer: str
    parts: list[dict[str, str]]
    bars: list[dict[str, object]]
    mixed_meters: list[dict[str, object]]
    conflicts: list[dict[str, object]]
    assumptions: list[dict[str, object]]
    tempos: list[dict[str, object]]
    rehearsal_marks: list[dict[str, object]]
    playing_order: list[list[int]]
    barlines_coincide: bool


def overview(stand: Stand) -> Overview:
    """Everything the map tells about a score on the stand."""
    ids = [part.id for part in stand.score.parts]
    meters = [
        {
            id_: meter.text if (meter := stand.clock.meter_at(part, bar)) else None
            for part, id_ in enumerate(ids)
        }
        for bar in stand.clock.bars
    ]
    return Overview(
        title=stand.score.title,
        composer=stand.score.composer,
        parts=[{"id": part.id, "name": part.name} for part in stand.score.parts],
        bars=[
            {
                "bar": bar.number,
                "label": bar.label,
                "movement": bar.movement,
                "start": str(bar.start),
                "length": str(bar.length),
                "meters": meters[bar.number - 1],
            }
            for bar in stand.clock.bars
        ],
        mixed_meters=list(_mixed(meters)),
        conflicts=[_conflict(conflict) for conflict in stand.conflicts],
        assumptions=[
            {
                "bar": told.bar,
                "what": told.what,
                "value": told.value,
                "because": told.because,
                "parts": list(told.parts),
            }
            for told in stand.clock.assumptions
        ],
        tempos=[
            {
                "at": str(told.at),
                "beat": note_name(told.mark.beat),
                "per_minute": str(told.mark.per_minute),
                "because": "mark" if told.mark.is_printed else "source",
            }
            for told in stated_tempos(stand.clock)
        ],
        rehearsal_marks=[
            {"bar": bar, "mark": text} for bar, text in sorted(rehearsal_marks(stand.clock).items())
        ],
        playing_order=[list(span) for span in spans(playing_order(stand.score))],
        barlines_coincide=stand.clock.barlines_coincide,
    )


def _mixed(meters: list[dict[str, str | None]]) -> Iterator[dict[str, object]]:
    """Maximal stretches of bars with unchanged meters that are not the same for all parts."""
    first = 0
    for index, here in enumerate(meters):
        if index + 1 == len(meters) or meters[index + 1] != here:
            if len(set(here.values()) - {None}) > 1:
                yield {"first": first + 1, "last": index + 1, "meters": here}
            first = index + 1


def _conflict(conflict: Conflict) -> dict[str, object]:
    return {
        "first": conflict.first,
        "last": conflict.last,
        "ratio": "{}:{}".format(*conflict.ratio),
        "level": conflict.level,
        "basis": conflict.basis,
        "sides": [
            {"division": side.division, "parts": list(side.parts)} for side in conflict.sides
        ],
    }

"""The map of a score as plain data, the same for a screen, a command and a program."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypedDict

from companion.desk.stand import Stand
from companion.rhythm.conflicts import Conflict


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

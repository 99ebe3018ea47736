"""`companion map SCORE`: bars, meters and conflicts, for people or as JSON."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from companion.cli.asking import ask_json, ask_score, print_json, stand_of
from companion.desk.overview import overview
from companion.desk.stand import Stand
from companion.rhythm.conflicts import Conflict
from companion.score.address import rehearsal_marks, span_name
from companion.score.clock import Assumption


def arguments(parser: argparse.ArgumentParser) -> None:
    """SCORE [--json]."""
    ask_score(parser)
    ask_json(parser)


def run(args: argparse.Namespace) -> int:
    """Print the map."""
    stand = stand_of(args)
    if args.json:
        print_json(overview(stand))
    else:
        for line in told(stand):
            print(line)
    return 0


def told(stand: Stand) -> Iterator[str]:
    """The map in lines for a person."""
    score, clock = stand.score, stand.clock
    yield score.title + (f" — {score.composer}" if score.composer else "")
    yield f"{len(score.parts)} parts, {len(clock.bars)} bars, {clock.end} beats on the shared clock"
    for number, part in enumerate(score.parts, 1):
        yield f"  {number}  {part.name}"
    yield ""
    yield "Meters"
    yield from _meters(stand)
    yield ""
    yield "Conflicts" if stand.conflicts else "No conflicts"
    for conflict in stand.conflicts:
        yield "  " + _conflict(stand, conflict)
    if clock.assumptions:
        yield ""
        yield "Assumed"
        for assumption in clock.assumptions:
            yield "  " + _assumed(stand, assumption)


def _meters(stand: Stand) -> Iterator[str]:
    marks = rehearsal_marks(stand.clock)
    ids = [part.id for part in stand.score.parts]
    first = 0
    rows = [
        tuple(stand.clock.meter_at(part, bar) for part in range(len(ids)))
        for bar in stand.clock.bars
    ]
    for index, row in enumerate(rows):
        if index + 1 < len(rows) and rows[index + 1] == row:
            continue
        by_meter: dict[str, list[str]] = {}
        for id_, meter in zip(ids, row, strict=True):
            by_meter.setdefault(meter.text if meter else "unmeasured", []).append(id_)
        if len(by_meter) == 1:
            what = next(iter(by_meter))
        else:
            what = ", ".join(f"{meter} {_names(stand, parts)}" for meter, parts in by_meter.items())
        letter = " ".join(marks[bar] for bar in range(first + 1, index + 2) if bar in marks)
        span = f"bars {_span(stand, first + 1, index + 1)}"
        yield f"  {span:<18}{what}" + (f"   [{letter}]" if letter else "")
        first = index + 1


def _conflict(stand: Stand, conflict: Conflict) -> str:
    more, fewer = conflict.sides
    how = "as written" if conflict.basis == "meter" else "in the notes"
    return (
        f"bars {_span(stand, conflict.first, conflict.last)}: "
        f"{conflict.ratio[0]} against {conflict.ratio[1]} in the {conflict.level}, {how}: "
        f"{more.division} {_names(stand, more.parts)} / "
        f"{fewer.division} {_names(stand, fewer.parts)}"
    )


def _assumed(stand: Stand, told: Assumption) -> str:
    who = f" ({_names(stand, told.parts)})" if told.parts else ""
    where = f"bar {_span(stand, told.bar, told.bar)}: " if told.bar else ""
    return f"{where}{told.what}: {told.value}, by {_BECAUSE[told.because]}{who}"


_BECAUSE = {
    "player": "your own setting",
    "mark": "a mark in the score",
    "custom": "custom",
    "barlines": "the barlines of the others",
    "source": "what the file says",
}


def _span(stand: Stand, first: int, last: int) -> str:
    """Ordinal positions; the printed labels behind them where they differ."""
    ordinal = f"{first}–{last}" if last > first else str(first)
    printed = span_name(stand.clock, first, last)
    return ordinal if printed == ordinal else f"{ordinal} (printed {printed})"


def _names(stand: Stand, ids: tuple[str, ...] | list[str]) -> str:
    names = {part.id: part.name for part in stand.score.parts}
    return ", ".join(names[id_] for id_ in ids)

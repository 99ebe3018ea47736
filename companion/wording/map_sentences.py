"""The map of a score in lines for a person."""

from __future__ import annotations

from collections.abc import Iterator

from companion.rhythm.meter import note_name
from companion.score.bar_numbers import rehearsal_marks
from companion.score.playing.order import spans
from companion.score.tempo_map import stated_tempos
from companion.session.open_score import Stand
from companion.wording.phrases import counted
from companion.wording.score_sentences import assumption_told, conflict_told, names_told, span_told


def told(stand: Stand) -> Iterator[str]:
    """The map in lines for a person."""
    score, clock = stand.score, stand.clock
    yield score.title + (f" — {score.composer}" if score.composer else "")
    parts = counted(len(score.parts), "part")
    bars = counted(len(clock.bars), "bar")
    yield f"{parts}, {bars}, {clock.end} beats on the shared clock"
    for number, part in enumerate(score.parts, 1):
        yield f"  {number}  {part.name}"
    yield from _under("Meters", _meters(stand))
    yield from _under("Tempos", _tempos(stand))
    yield from _under("Order of playing", _order(stand))
    yield from _under(
        "Conflicts" if stand.conflicts else "No conflicts",
        (
            f"{span_told(stand, conflict.first, conflict.last)}: {conflict_told(stand, conflict)}"
            for conflict in stand.conflicts
        ),
        always=True,
    )
    yield from _under("Assumed", (assumption_told(stand, a) for a in clock.assumptions))


def _under(heading: str, lines: Iterator[str], *, always: bool = False) -> Iterator[str]:
    rows = [f"  {line}" for line in lines]
    if rows or always:
        yield from ("", heading, *rows)


def _meters(stand: Stand) -> Iterator[str]:
    """Maximal stretches of unchanged meters, with the rehearsal marks in them."""
    marks = rehearsal_marks(stand.clock)
    ids = [part.id for part in stand.score.parts]
    rows = [
        tuple(stand.clock.meter_at(part, bar) for part in range(len(ids)))
        for bar in stand.clock.bars
    ]
    first = 0
    for index, row in enumerate(rows):
        if index + 1 < len(rows) and rows[index + 1] == row:
            continue
        by_meter: dict[str, list[str]] = {}
        for id_, meter in zip(ids, row, strict=True):
            by_meter.setdefault(meter.text if meter else "unmeasured", []).append(id_)
        what = " · ".join(
            f"{meter} {names_told(stand, parts)}" if len(by_meter) > 1 else meter
            for meter, parts in by_meter.items()
        )
        letters = " ".join(marks[bar] for bar in range(first + 1, index + 2) if bar in marks)
        marked = f"   [{letters}]" if letters else ""
        yield f"{span_told(stand, first + 1, index + 1)}: {what}{marked}"
        first = index + 1


def _tempos(stand: Stand) -> Iterator[str]:
    for told in stated_tempos(stand.clock):
        bar = max(bar.number for bar in stand.clock.bars if bar.start <= told.at)
        per_minute = told.mark.per_minute
        if per_minute is not None:
            device = f" ({told.words})" if told.words else ""
            device = device if told.mark.is_printed else ", not printed"
            tempo = f"{note_name(told.mark.beat)} = {float(per_minute):g}"
            yield f"{span_told(stand, bar, bar)}: {tempo}{device}"


def _order(stand: Stand) -> Iterator[str]:
    runs = spans(stand.order.bars)
    if len(runs) > 1:
        yield ", ".join(f"{first}–{last}" if last > first else str(first) for first, last in runs)

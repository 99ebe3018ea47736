"""The map of a score in lines for a person."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from companion.rhythm.meter import note_name
from companion.score.bar_numbers import rehearsal_marks, span_name
from companion.score.playing.order import order_spans
from companion.score.tempo_map import stated_tempos
from companion.session.open_score import OpenScore
from companion.wording.phrases import counted, tempo_told
from companion.wording.score_sentences import (
    assumption_told,
    bar_span_told,
    conflict_told,
    names_told,
    pull_in_time_told,
)


def score_map_told(open_score: OpenScore) -> Iterator[str]:
    """All of it, line by line."""
    score, clock = open_score.score, open_score.clock
    yield score.title + (f" — {score.composer}" if score.composer else "")
    parts = counted(len(score.parts), "part")
    bars = counted(len(clock.bars), "bar")
    yield f"{parts}, {bars}, {clock.end} beats on the shared clock"
    for number, part in enumerate(score.parts, 1):
        yield f"  {number}  {part.name}"
    yield from _under("Meters", _meters(open_score))
    yield from _under("Tempos", _tempos(open_score))
    yield from _under("Order of playing", _order(open_score))
    yield from _under(
        "Conflicts" if open_score.conflicts else "No conflicts",
        iter(dict.fromkeys(_conflicts(open_score))),
        always=True,
    )
    yield from _under(
        "Against the meter",
        (pull_in_time_told(open_score, period) for period in open_score.periods),
    )
    yield from _under("Assumed", (assumption_told(open_score, a) for a in clock.assumptions))


def _conflicts(open_score: OpenScore) -> Iterator[str]:
    """The same between the same, in several beats of a bar, makes the same line."""
    for conflict in open_score.conflicts:
        where = bar_span_told(open_score, conflict.first, conflict.last)
        yield f"{where}: {conflict_told(open_score, conflict)}"


def _under(heading: str, lines: Iterator[str], *, always: bool = False) -> Iterator[str]:
    rows = [f"  {line}" for line in lines]
    if rows or always:
        yield from ("", heading, *rows)


def _meters(open_score: OpenScore) -> Iterator[str]:
    """Maximal stretches of unchanged meters, with the rehearsal marks in them."""
    marks = rehearsal_marks(open_score.clock)
    ids = [part.id for part in open_score.score.parts]
    rows = [
        tuple(open_score.clock.meter_at(part, bar) for part in range(len(ids)))
        for bar in open_score.clock.bars
    ]
    first = 0
    for index, row in enumerate(rows):
        if index + 1 < len(rows) and rows[index + 1] == row:
            continue
        by_meter: dict[str, list[str]] = {}
        for id_, meter in zip(ids, row, strict=True):
            by_meter.setdefault(meter.text if meter else "unmeasured", []).append(id_)
        what = " · ".join(
            f"{meter} {names_told(open_score, parts)}" if len(by_meter) > 1 else meter
            for meter, parts in by_meter.items()
        )
        letters = " ".join(marks[bar] for bar in range(first + 1, index + 2) if bar in marks)
        marked = f"   [{letters}]" if letters else ""
        yield f"{bar_span_told(open_score, first + 1, index + 1)}: {what}{marked}"
        first = index + 1


def _tempos(open_score: OpenScore) -> Iterator[str]:
    for told in stated_tempos(open_score.clock):
        bar = max(1, bisect_right(open_score.clock.bars, told.at, key=lambda bar: bar.start))
        per_minute = told.mark.per_minute
        if per_minute is not None:
            device = f" ({told.words})" if told.words else ""
            device = device if told.mark.is_printed else ", not printed"
            tempo = tempo_told(note_name(told.mark.beat), per_minute)
            yield f"{bar_span_told(open_score, bar, bar)}: {tempo}{device}"


def _order(open_score: OpenScore) -> Iterator[str]:
    runs = order_spans(open_score.order.bars)
    if len(runs) > 1:
        yield ", ".join(span_name(open_score.clock, first, last) for first, last in runs)

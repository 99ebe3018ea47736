"""The demo's viola, practised into a real log, and corrected editions of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path

from lxml import etree
from lxml.etree import _Element

from companion.files.folders import Folders, demo_score
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome
from companion.practice.plan.day_plan import DayPlan
from companion.score.bar_numbers import span_name
from companion.session.open_score import OpenScore, open_for_practice

BEGIN = date(2026, 3, 2)
"""A Monday."""
VIOLA = 2


def evening(number: int) -> datetime:
    return datetime.combine(BEGIN + timedelta(days=number), time(20), UTC)


def opened_for_practice(folders: Folders, path: Path | None = None) -> OpenScore:
    return open_for_practice(path or demo_score(), folders)


def tried(
    open_score: OpenScore,
    number: int,
    bars: tuple[int, int],
    tempo: int,
    outcome: Outcome = Outcome.HELD,
) -> Attempt:
    part = open_score.score.parts[VIOLA]
    return Attempt(
        score_title=open_score.score.title,
        score_digest=open_score.digest,
        score_path=str(open_score.path),
        part_id=part.id,
        part_name=part.name,
        first_bar=bars[0],
        last_bar=bars[1],
        bars_label=span_name(open_score.clock, *bars),
        tempo=Fraction(tempo),
        beat="dotted quarter",
        outcome=outcome,
        layers=("beat", "mine", "theirs"),
        seconds=120.0,
        at=evening(number),
    )


def note(folders: Folders, attempts: Sequence[Attempt]) -> None:
    with Log.open(folders.data) as log:
        for attempt in attempts:
            log.note(attempt)


def corrected(place: Path, change: Callable[[_Element], None]) -> Path:
    """The demo's file with something changed in it."""
    root = etree.fromstring(demo_score().read_bytes())
    change(root)
    place.write_bytes(etree.tostring(root))
    return place


def mend_a_note(root: _Element) -> None:
    """One wrong note mended in the viola's fifteenth bar."""
    part = root.findall("part")[VIOLA]
    step = part.findall("measure")[14].find(".//pitch/step")
    assert step is not None
    step.text = "B" if step.text != "B" else "C"


def leave_out_bars(root: _Element) -> None:
    """The third and fourth bar are gone from every part."""
    for part in root.findall("part"):
        for bar in part.findall("measure")[2:4]:
            part.remove(bar)


def played(plan: DayPlan, path: Path, at: datetime, how: Outcome = Outcome.HELD) -> list[Attempt]:
    """A plan played as it says: each passage up its ladder, the second time without the click."""
    attempts, visited = [], set()
    for number, item in enumerate(plan.items):
        bars = item.bars
        if bars is None or not item.tempo:
            continue
        tempo = Fraction(item.tempo)
        top, step = Fraction(item.top or item.tempo), Fraction(item.step or 1)
        while True:
            attempts.append(
                Attempt(
                    score_title=item.title,
                    score_digest=bars.score_digest,
                    score_path=str(path),
                    part_id=bars.part_id,
                    part_name=item.part_name,
                    first_bar=bars.first,
                    last_bar=bars.last,
                    bars_label=item.label,
                    tempo=tempo,
                    beat=item.beat,
                    outcome=how,
                    layers=("theirs",) if bars in visited else ("beat", "mine", "theirs"),
                    seconds=60.0,
                    at=at + timedelta(minutes=number),
                )
            )
            if tempo >= top:
                break
            tempo = min(top, tempo + step)
        visited.add(bars)
    return attempts

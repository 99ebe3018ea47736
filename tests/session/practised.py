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

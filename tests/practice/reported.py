"""Reports said in a line a passage, for tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from companion.practice.attempt import Attempt, Outcome, new_id
from companion.publish.report.report_file import Report, ReportedPassage

DIGEST = "5e" * 16
WORDS = {"f": "fell apart", "s": "shaky", "h": "held", "k": "secure"}


def passage(first: int, last: int, outcomes: str, part: str = "Viola") -> ReportedPassage:
    """`outcomes` has a letter an attempt: f, s, h or k."""
    one = Attempt(
        score_title="Study in two meters",
        score_digest=DIGEST,
        score_path="",
        part_id=part[:2],
        part_name=part,
        first_bar=first,
        last_bar=last,
        bars_label=f"{first}–{last}",
        at=datetime.fromisoformat("2026-03-02T18:00:00+01:00"),
        tempo=Fraction(60),
        beat="quarter",
        outcome=Outcome.HELD,
        repetitions=2,
        seconds=90.0,
        layers=("beat", "mine"),
    )
    return ReportedPassage(
        score=DIGEST,
        title=one.score_title,
        part=one.part_id,
        part_name=part,
        first=first,
        last=last,
        label=one.bars_label,
        state="taking shape",
        held="quarter = 60",
        attempts=[replace(one, id=new_id(), outcome=Outcome(WORDS[how])) for how in outcomes],
    )


def report(
    name: str, *passages: ReportedPassage, made: str = "2026-03-08T20:00:00+01:00", note: str = ""
) -> Report:
    return Report(
        made=made,
        name=name,
        note=note,
        since=None,
        only_exercises=False,
        minutes={"2026-03-02": 12.5},
        passages=list(passages),
        exercises=[],
    )

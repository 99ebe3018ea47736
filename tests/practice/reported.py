"""Reports said in a line a passage, for tests."""

from __future__ import annotations

from companion.practice.attempt import new_id
from companion.publish.report.report_file import Report, ReportedAttempt, ReportedPassage

DIGEST = "5e" * 16
WORDS = {"f": "fell apart", "s": "shaky", "h": "held", "k": "secure"}


def attempt(outcome: str = "held", *, id_: str = "", tempo: str = "60") -> ReportedAttempt:
    return ReportedAttempt(
        id=id_ or new_id(),
        at="2026-03-02T18:00:00+01:00",
        tempo=tempo,
        beat="quarter",
        outcome=outcome,
        times=2,
        seconds=90.0,
        layers=["beat", "mine"],
    )


def passage(first: int, last: int, outcomes: str, part: str = "Viola") -> ReportedPassage:
    """`outcomes` has a letter an attempt: f, s, h or k."""
    return ReportedPassage(
        score=DIGEST,
        title="Study in two meters",
        part=part[:2],
        part_name=part,
        first=first,
        last=last,
        label=f"{first}–{last}",
        state="taking shape",
        held="quarter = 60",
        attempts=[attempt(WORDS[letter]) for letter in outcomes],
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

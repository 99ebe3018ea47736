"""What the log says, passage by passage, as it is reported."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import date, time

from companion.journal.log import Log
from companion.practice.attempt import Attempt
from companion.practice.bars import Bars, bars_of
from companion.practice.day import practice_day
from companion.practice.pace import told
from companion.practice.report import ReportedAttempt, ReportedPassage
from companion.practice.standing import Standing, state

_A_DAY = 24 * 60 * 60.0


def attempts_since(log: Log, since: date | None, ends: time) -> list[Attempt]:
    """Attempts from a practice day on, in order of time."""
    return [
        one
        for one in log.attempts(newest_first=False)
        if since is None or practice_day(one.at, ends) >= since
    ]


def passages_told(
    attempts: Iterable[Attempt], standings: Iterable[Standing], today: date
) -> list[ReportedPassage]:
    """Every passage that was tried, with its attempts in order of time."""
    tried: dict[Bars, list[Attempt]] = {}
    for attempt in attempts:
        tried.setdefault(bars_of(attempt), []).append(attempt)
    stands = {one.bars: one for one in standings}
    return [_passage(tried[bars], stands.get(bars), today) for bars in sorted(tried)]


def _passage(attempts: Sequence[Attempt], stands: Standing | None, today: date) -> ReportedPassage:
    last = attempts[-1]
    held = told(stands.held, stands.aims.beat) if stands and stands.held else ""
    return ReportedPassage(
        score=last.score_digest,
        title=last.score_title,
        part=last.part_id,
        part_name=last.part_name,
        first=last.first_bar,
        last=last.last_bar,
        label=last.bars_label,
        state=state(stands, today).value if stands else "",
        held=held,
        attempts=[_attempt(one) for one in attempts],
    )


def _attempt(attempt: Attempt) -> ReportedAttempt:
    return ReportedAttempt(
        id=attempt.id,
        at=attempt.at.isoformat(),
        tempo=str(attempt.tempo),
        beat=attempt.beat,
        outcome=attempt.outcome.value,
        times=attempt.repetitions,
        seconds=round(min(attempt.seconds, _A_DAY), 1),
        layers=list(attempt.layers),
        judgement=json.loads(attempt.judgement) if attempt.judgement else None,
    )

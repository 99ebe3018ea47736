"""What the student's list says, exercise by exercise, as it is reported."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from companion.desk.exercises.assigned import Assigned
from companion.practice.attempt import Attempt
from companion.practice.bars import Bars, bars_of
from companion.practice.report import ReportedDrill, ReportedExercise


def attempts_at(attempts: Iterable[Attempt], listed: Sequence[Assigned]) -> list[Attempt]:
    """Those at the drills of some exercises, since each was opened."""
    since: dict[Bars, datetime] = {}
    for one in listed:
        for target in one.assignment.targets:
            earliest = since.get(target.bars, one.assignment.opened)
            since[target.bars] = min(earliest, one.assignment.opened)
    return [one for one in attempts if bars_of(one) in since and one.at >= since[bars_of(one)]]


def exercises_told(listed: Iterable[Assigned]) -> list[ReportedExercise]:
    """Every exercise and how far each drill is."""
    return [
        ReportedExercise(
            id=one.assignment.id,
            title=one.assignment.exercise.title,
            due=due.isoformat() if (due := one.assignment.exercise.due) else None,
            state=one.state.value,
            drills=list(_drills(one)),
        )
        for one in listed
    ]


def _drills(one: Assigned) -> Iterable[ReportedDrill]:
    pairs = zip(one.assignment.targets, one.drills, strict=True)
    for number, (target, progress) in enumerate(pairs, 1):
        yield ReportedDrill(
            title=one.assignment.exercise.named(number),
            score=target.bars.score_digest,
            part=target.bars.part_id,
            first=target.bars.first,
            last=target.bars.last,
            goal=target.told(),
            state=progress.state.value,
            tries=progress.tries,
            good_days=progress.good_days,
        )

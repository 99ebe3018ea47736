"""Which exercises are due, in lines for the day's plan.

Only what is near or over is told there: the list itself tells all of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from companion.desk.exercises.assigned import Assigned, assigned
from companion.desk.folders import Folders
from companion.exercise.goals import State
from companion.practice.dates_told import day_told

_NEAR = timedelta(days=14)


def due_told(folders: Folders, day: date) -> Iterator[str]:
    """`Exercise The ferry: due 21 May 2030, in progress`; the earliest first.

    Those not done that are due within two weeks of a practice day, or were due before it.
    Raises CompanionError where the log cannot be read.
    """
    for one in assigned(folders).assigned:
        due = one.assignment.exercise.due
        if due is not None and one.state is not State.DONE and due <= day + _NEAR:
            yield f"Exercise {one.assignment.exercise.title}: {_due(one, due, day)}, {one.state}"


def _due(one: Assigned, due: date, day: date) -> str:
    if one.is_overdue(day):
        return f"overdue since {day_told(due)}"
    return "due today" if due == day else f"due {day_told(due)}"

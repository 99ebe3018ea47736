"""Exercises in the day's plan: what is near or over is told, what is done or far is not.

That a task stays due until it is done is common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from companion.files.folders import Folders
from companion.practice.plan.day_plan import accepted
from companion.session.assigned_exercises import due_exercises, unfinished_exercises
from companion.session.open_exercise import open_exercise
from companion.session.todays_plan import DayRequest, change_plan, today
from companion.wording.exercise_sentences import due_told
from tests.session.teacher_and_student import note, student, teacher

TOLD = {
    date(2030, 5, 6): [],
    date(2030, 5, 7): ["Exercise The ferry: due 21 May 2030, assigned"],
    date(2030, 5, 21): ["Exercise The ferry: due today, assigned"],
    date(2030, 5, 22): ["Exercise The ferry: overdue since 21 May 2030, assigned"],
}


def told(folders: Folders, day: date) -> list[str]:
    return [due_told(one, day) for one in due_exercises(unfinished_exercises(folders), day)]


@pytest.mark.parametrize("day", TOLD)
def test_an_exercise_is_told_from_two_weeks_before_its_day(tmp_path: Path, day: date) -> None:
    mine = student(tmp_path / "mine")
    open_exercise(teacher(tmp_path / "teacher"), mine)
    assert told(mine, day) == TOLD[day]


def test_what_is_done_is_not_told_any_more(tmp_path: Path) -> None:
    mine = student(tmp_path / "mine")
    assignment, _ = open_exercise(teacher(tmp_path / "teacher"), mine)
    note(mine, assignment.targets[0], 60)
    assert told(mine, date(2030, 5, 21))[0].endswith("in progress")
    note(mine, assignment.targets[1], 72, times=2)
    assert not told(mine, date(2030, 5, 21))


def test_the_plan_of_a_day_tells_it_also_after_a_change(tmp_path: Path) -> None:
    mine = student(tmp_path / "mine")
    open_exercise(teacher(tmp_path / "teacher"), mine)
    shown = today(mine, datetime(2030, 5, 20, 18, tzinfo=UTC), DayRequest())
    assert [one.assignment.exercise.title for one in shown.due] == ["The ferry"]
    assert change_plan(mine, shown, accepted).due == shown.due

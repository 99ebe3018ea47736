"""The student's list: assigned, in progress, done, and when it is due."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from companion.errors import RequestError
from companion.exercise.drill_goal import GoalState
from companion.files.folders import Folders
from companion.session.assigned_exercises import assigned, assignment_named
from companion.session.open_exercise import open_exercise
from companion.wording.exercise_sentences import listing_told
from tests.session.teacher_and_student import note, student, teacher


def test_it_goes_from_assigned_by_way_of_in_progress_to_done(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(teacher(tmp_path / "t"), here)
    clap, viola = opened.targets
    assert state_of(here) == (GoalState.ASSIGNED, [GoalState.ASSIGNED, GoalState.ASSIGNED])
    note(here, clap, 60)
    assert state_of(here) == (GoalState.IN_PROGRESS, [GoalState.DONE, GoalState.ASSIGNED])
    note(here, viola, 68, times=2)
    assert state_of(here) == (GoalState.IN_PROGRESS, [GoalState.DONE, GoalState.IN_PROGRESS])
    note(here, viola, 72, times=2)
    assert state_of(here) == (GoalState.DONE, [GoalState.DONE, GoalState.DONE])


def state_of(here: Folders) -> tuple[GoalState, list[GoalState]]:
    (one,) = assigned(here).assigned
    return one.state, [drill.state for drill in one.drills]


def test_what_was_played_before_it_was_opened_does_not_count(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(teacher(tmp_path / "t"), here)
    note(here, opened.targets[0], 60, days=-3)
    (one,) = assigned(here).assigned
    assert one.drills[0].tries == 0


def test_it_is_overdue_only_after_its_day_and_only_if_not_done(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(teacher(tmp_path / "t"), here)
    (one,) = assigned(here).assigned
    assert not one.is_overdue(date(2030, 5, 21)) and one.is_overdue(date(2030, 5, 22))
    assert "due 21 May 2030 (overdue)" in next(listing_told(1, one, date(2030, 5, 22)))
    note(here, opened.targets[0], 60)
    note(here, opened.targets[1], 72, times=2)
    (one,) = assigned(here).assigned
    assert not one.is_overdue(date(2030, 5, 22))


def test_what_is_due_first_comes_first_and_what_is_done_last(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    for name, due in (("never", ""), ("later", "due = 2030-06-01"), ("soon", "due = 2030-01-01")):
        text = f'format = 1\ntitle = "{name}"\n{due}\n[[drill]]\npattern = "2/4 h"\n'
        (tmp_path / f"{name}.toml").write_text(text)
        open_exercise(tmp_path / f"{name}.toml", here)
    assert titles(here) == ["soon", "later", "never"]
    soon = assignment_named(here, "soon")
    note(here, soon.targets[0], 60)
    assert titles(here) == ["later", "never", "soon"]


def titles(here: Folders) -> list[str]:
    return [one.assignment.exercise.title for one in assigned(here).assigned]


def test_one_of_the_list_is_named_by_number_title_or_id(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(teacher(tmp_path / "t"), here)
    for word in ("1", "the fe", opened.id[:8]):
        assert assignment_named(here, word) == opened
    with pytest.raises(RequestError, match="not in the list"):
        assignment_named(here, "2")


def test_a_list_without_anything_makes_no_folder(tmp_path: Path) -> None:
    assert assigned(student(tmp_path / "s")).assigned == ()
    assert not (tmp_path / "s").exists()

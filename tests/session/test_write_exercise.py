"""Writing an exercise from a passage on the stand, its score beside it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from companion.click.plan.tempo_plan import Fixed
from companion.errors import CompanionError
from companion.exercise.drill_goal import target_of
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.files.folders import demo_score
from companion.score.passage import passage
from companion.session.open_exercise import check_exercise
from companion.session.open_score import open_for_practice
from companion.session.write_exercise import exercise_of_passage, score_name_in, write_exercise
from companion.wording.exercise_sentences import target_told
from tests.session.teacher_and_student import student


def ferry(tmp_path: Path) -> Exercise:
    open_score = open_for_practice(demo_score(), student(tmp_path / "s"))
    drill = ExerciseDrill(
        tempo=Fixed(Fraction(145, 2)), goal=DrillGoal(days=2), layers=("beat", "theirs")
    )
    return exercise_of_passage(open_score, passage(open_score.clock, 2, 14, 17), drill)


def test_a_passage_becomes_an_exercise_that_opens_at_the_same_bars(tmp_path: Path) -> None:
    made = ferry(tmp_path)
    path = write_exercise(made, tmp_path / "ferry", (demo_score(),))
    checked = check_exercise(path, student(tmp_path / "s"))
    (ferry_drill,) = checked.drills
    assert checked.file.exercise == made
    found = ferry_drill.passage
    assert (found.part_name, found.first, found.last) == ("Viola", 14, 17)
    assert target_told(target_of(ferry_drill)) == "held at dotted quarter = 72.5, on each of 2 days"
    assert made.title == "Four for the Chain Ferry, 13–16"


def test_another_score_of_that_name_is_not_overwritten(tmp_path: Path) -> None:
    (tmp_path / demo_score().name).write_bytes(b"another")
    with pytest.raises(CompanionError, match="another file of that name"):
        write_exercise(ferry(tmp_path), tmp_path / "ferry", (demo_score(),))
    assert not (tmp_path / "ferry.toml").exists()


def test_a_score_is_named_from_the_exercise_and_copied_only_from_elsewhere(tmp_path: Path) -> None:
    exercise = tmp_path / "desk" / "x.toml"
    assert score_name_in(tmp_path / "desk" / "scores" / "a.mxl", exercise) == ("scores/a.mxl", ())
    elsewhere = tmp_path / "a.mxl"
    assert score_name_in(elsewhere, exercise) == ("a.mxl", (elsewhere,))
    with pytest.raises(CompanionError, match="Rename it"):
        score_name_in(tmp_path / "a?.mxl", exercise)


def test_a_place_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    with pytest.raises(CompanionError, match="could not be written"):
        write_exercise(ferry(tmp_path), tmp_path / "nowhere" / "x", (demo_score(),))

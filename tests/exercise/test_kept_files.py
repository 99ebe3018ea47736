"""Files of format 1, written once and never again: every later version must open them.

If one of these tests fails, the program has to change, not the file.
"""

from __future__ import annotations

import shutil
from datetime import date
from fractions import Fraction
from pathlib import Path

from companion.click.plan.tempo_plan import AfterFailing, Fixed, Ladder, Marked
from companion.exercise.assignment import read_assignment
from companion.exercise.drill_on_score import made_scores
from companion.exercise.file.exercise import DrillGoal
from companion.exercise.file.exercise_file import read_exercise
from companion.files.folders import folders
from companion.practice.attempt import Outcome
from companion.session.open_exercise import Taken, check_exercise, open_exercise
from companion.wording.exercise_sentences import target_told

FIXTURES = Path(__file__).with_name("fixtures")
ID = "303bfee2f908fa55e35a3928743b3ac1e5baab5902d77a8f2c8f28acbfbe985d"


def test_an_exercise_file_says_what_it_said() -> None:
    content = (FIXTURES / "format_1" / "exercise.toml").read_bytes()
    exercise = read_exercise(content, "x").exercise
    hands, voices, letters = exercise.drills
    assert (exercise.whom, exercise.due, exercise.level) == (
        *("Thursday quartet", date(2026, 5, 21), 4),
    )
    assert hands.tempo == Ladder(Fraction(44), Fraction(60), Fraction(4), 2, AfterFailing.BACK_ONE)
    assert hands.layers == ("beat", "mine", "theirs", "rhythm:Clap")
    assert (hands.count_in, hands.repeat, hands.seed, hands.part, hands.bars) == (
        *(2, 8, 7, "Violin", "@2-@4"),
    )
    assert hands.silences == ("every 4", "random 20% beats")
    assert hands.fades == ("theirs out over 4",)
    assert hands.goal == DrillGoal(Fraction(125, 2), Outcome.SECURE, 4, 2)
    assert hands.shows == ("3:4 in the beat", "beat = beat")
    assert (voices.part, voices.tempo) == ("2", Marked(Fraction(4, 5)))
    assert letters.tempo == Fixed(Fraction(721, 10))


def test_a_pattern_makes_the_score_it_made() -> None:
    """Byte for byte: a student's log knows the score by its content."""
    folder = FIXTURES / "opened_1"
    exercise = read_assignment(folder).exercise
    for name, content in made_scores(exercise):
        assert content == (folder / "made" / name).read_bytes()


def test_a_pack_opens_and_is_known_by_the_same_name(tmp_path: Path) -> None:
    here = folders(tmp_path / "s")
    opened, taken = open_exercise(FIXTURES / "format_1.exercise", here)
    assert taken is Taken.NEW and opened.id == ID
    assert opened.targets == read_assignment(FIXTURES / "opened_1").targets


def test_what_was_opened_is_still_in_the_list(tmp_path: Path) -> None:
    here = folders(tmp_path / "s")
    shutil.copytree(FIXTURES / "opened_1", tmp_path / "s" / "exercises" / ID[:16])
    opened, taken = open_exercise(FIXTURES / "format_1" / "exercise.toml", here)
    assert taken is Taken.THERE and opened.id == ID
    first, *_ = opened.targets
    assert target_told(first) == "secure at dotted quarter = 62.5, 4 times on each of 2 days"
    assert (first.bars.score_digest, first.bars.first) == ("c294f30dde802113343920bbfeece00c", 2)
    assert opened.opened.utcoffset() is not None


def test_nothing_is_wrong_with_it(tmp_path: Path) -> None:
    checked = check_exercise(FIXTURES / "format_1" / "exercise.toml", folders(tmp_path))
    assert [laid.passage.part_name for laid in checked.drills] == ["Violin", "Cello", "Part 1"]

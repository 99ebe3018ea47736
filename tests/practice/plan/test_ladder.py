"""Step by step: up when it held, down when it did not, never above the goal."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.plan.habits import Habits
from companion.practice.plan.path_to_date import first_tempo, next_tempo
from tests.practice.noted import goal_at, new_ones, stands

HABITS = Habits(step=4, begin=60)


def tempo_for(words: str) -> Fraction:
    return next_tempo(stands(words), HABITS)


def test_a_new_passage_begins_at_three_fifths_of_its_goal() -> None:
    (one,) = new_ones([13])
    assert next_tempo(one, HABITS) == 43  # 72 · 3/5 = 43.2, whole beats


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("0 43 held click", 47),
        ("0 70 held click", 72),  # the goal is the last step
        ("0 72 secure click", 72),
        ("0 60 shaky click\n0 60 shaky click\n0 60 held click", 60),  # one lucky time is no step
        ("0 60 held click\n1 64 shaky click", 60),  # nothing held yesterday: stay
        ("0 60 shaky click", 56),  # one step under what failed
        ("0 44 apart click", 40),  # slower than the slow start, where even that failed
        ("0 72 held click\n1 72 held click\n2 72 shaky click", 68),  # a slip goes back one
    ],
)
def test_the_next_step(words: str, expected: int) -> None:
    assert tempo_for(words) == expected


def test_in_the_last_days_no_tempo_is_raised() -> None:
    assert next_tempo(stands("0 60 held click"), HABITS, may_rise=False) == 60


@given(st.integers(10, 400), st.integers(1, 60), st.integers(10, 100))
def test_a_ladder_never_climbs_over_its_goal(goal: int, step: int, begin: int) -> None:
    habits = Habits(step=step, begin=begin)
    assert 10 <= first_tempo(Fraction(goal), habits) <= goal
    one = stands("0 72 held click", goal_at(tempo=goal))
    assert next_tempo(one, habits) <= goal

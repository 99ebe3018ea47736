"""When a goal is reached. What counts is what FORMAT.md promises a teacher."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from companion.exercise.drill_goal import GoalProgress, GoalState, Target, progress, state_of
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.practice_day import practice_day

BARS = Bars("ab12", "P1", 9, 16)
MONDAY = datetime(2026, 5, 4, 18, tzinfo=UTC)
TARGET = Target(
    BARS, "A study", "Viola", "9–16", Fraction(72), "quarter", Outcome.HELD, times=3, days=2
)


def attempt(
    day: float = 0,
    tempo: int = 72,
    outcome: Outcome = Outcome.HELD,
    times: int = 3,
    beat: str = "quarter",
    bars: Bars = BARS,
) -> Attempt:
    return Attempt(
        score_title="A study",
        score_digest=bars.score_digest,
        score_path="x",
        part_id=bars.part_id,
        part_name="Viola",
        first_bar=bars.first,
        last_bar=bars.last,
        bars_label="9–16",
        tempo=Fraction(tempo),
        beat=beat,
        outcome=outcome,
        repetitions=times,
        at=MONDAY + timedelta(days=day),
    )


def far(*attempts: Attempt) -> GoalProgress:
    return progress(TARGET, attempts, practice_day)


def test_nothing_tried_is_assigned_and_anything_tried_is_in_progress() -> None:
    assert far().state is GoalState.ASSIGNED
    assert (
        far(attempt(tempo=40, outcome=Outcome.FELL_APART, times=0)).state is GoalState.IN_PROGRESS
    )


def test_three_times_on_two_days_is_done() -> None:
    done = far(attempt(), attempt(day=1))
    assert (done.state, done.good_days) == (GoalState.DONE, 2)


def test_one_long_evening_is_one_day() -> None:
    assert far(attempt(times=9), attempt(day=0.1, times=9)).state is GoalState.IN_PROGRESS


def test_times_through_of_a_day_are_added_up() -> None:
    evening = [attempt(day=0.01 * n, times=1) for n in range(3)]
    assert far(*evening, attempt(day=1)).state is GoalState.DONE
    assert far(*evening[:2], attempt(day=1)).state is GoalState.IN_PROGRESS


def test_after_midnight_is_still_the_evening_before() -> None:
    assert far(attempt(), attempt(day=0.3)).good_days == 1


@pytest.mark.parametrize(
    "second",
    [
        attempt(day=1, tempo=71),
        attempt(day=1, outcome=Outcome.SHAKY),
        attempt(day=1, times=0),
        attempt(day=1, bars=Bars("ab12", "P1", 9, 15)),
        attempt(day=1, bars=Bars("ab12", "P2", 9, 16)),
        attempt(day=1, bars=Bars("cd34", "P1", 9, 16)),
    ],
)
def test_slower_worse_broken_off_or_elsewhere_does_not_count(second: Attempt) -> None:
    assert far(attempt(), second).state is GoalState.IN_PROGRESS


def test_faster_or_better_counts() -> None:
    assert far(attempt(tempo=90), attempt(day=1, outcome=Outcome.SECURE)).state is GoalState.DONE


def test_the_same_speed_in_another_beat_counts() -> None:
    """Eighth = 144 is quarter = 72."""
    done = far(attempt(tempo=144, beat="eighth"), attempt(day=1))
    assert done.state is GoalState.DONE and done.fastest == 72


def test_the_fastest_is_told_in_the_beats_of_the_goal() -> None:
    assert far(attempt(tempo=60), attempt(tempo=120, beat="eighth", day=1)).fastest == 60
    assert far(attempt(outcome=Outcome.SHAKY)).fastest is None


def test_what_was_reached_stays_reached() -> None:
    assert far(attempt(), attempt(day=1), attempt(day=2, outcome=Outcome.FELL_APART)).state is (
        GoalState.DONE
    )


def test_an_exercise_is_done_when_every_drill_is() -> None:
    done, begun, fresh = far(attempt(), attempt(day=1)), far(attempt()), far()
    assert state_of([done, done]) is GoalState.DONE
    assert state_of([done, fresh]) is GoalState.IN_PROGRESS
    assert state_of([begun, fresh]) is GoalState.IN_PROGRESS
    assert state_of([fresh, fresh]) is GoalState.ASSIGNED


def test_a_goal_is_told_in_a_phrase() -> None:
    assert TARGET.told() == "held at quarter = 72, 3 times on each of 2 days"

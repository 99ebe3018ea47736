"""The scheduler as its authors publish it, and as it is used here."""

from dataclasses import replace as again
from datetime import UTC, datetime

import pytest
from fsrs import Card, Rating, Scheduler
from msgspec.structs import replace

from companion.practice.mastery.spacing import due_by, grade, remembered
from companion.practice.mastery.standing import Standing, aims_of, standing
from tests.practice.noted import goal_at, noted, on, stands


def test_the_package_keeps_its_own_test_vector() -> None:
    # fsrs 6.3.2, tests/test_basic.py, test_review_card: its published reference behaviour.
    scheduler, card = Scheduler(enable_fuzzing=False), Card(card_id=1)
    at, intervals = datetime(2022, 11, 29, 12, 30, tzinfo=UTC), []
    for number in (3, 3, 3, 3, 3, 3, 1, 1, 3, 3, 3, 3, 3):
        card, _ = scheduler.review_card(card, Rating(number), at)
        assert card.last_review is not None
        intervals.append((card.due - card.last_review).days)
        at = card.due
    assert intervals == [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]


FIRST_DAYS = {
    1: "0 72 apart click",
    2: "0 72 shaky click",
    3: "0 72 held click",
    4: "0 72 secure alone",
}


@pytest.mark.parametrize(("number", "interval"), [(1, 1), (2, 1), (3, 2), (4, 8)])
def test_without_learning_steps_the_first_intervals_are_days(number: int, interval: int) -> None:
    # fsrs 6.3.2 with learning_steps=(): run by hand, 1, 1, 2 and 8 days for the four grades.
    one = stands(FIRST_DAYS[number])
    assert graded(one) == number
    assert one.due - on(0).toordinal() == interval


def graded(one: Standing) -> int:
    assert one.last is not None
    return grade(one.last)


@pytest.mark.parametrize(
    ("words", "number"),
    [
        ("0 72 shaky click\n0 72 secure alone", 2),  # the test comes first, unaided by the rest
        ("0 50 held click\n0 72 held click", 3),  # slow ones before it are no test
        ("0 50 secure click", 2),  # under four fifths of the goal
        ("0 72 held click\n0 72 shaky click\n0 72 shaky click", 2),  # fewer than half clean
        ("0 72 held click\n0 72 shaky click", 3),  # half of them were
        ("0 72 secure click", 3),  # the click carried it
        ("0 60 secure click\n0 72 held alone", 3),  # without it, it only held
        ("0 60 secure alone\n0 72 secure alone", 4),
        ("0 72 apart click\n0 72 held click", 1),
    ],
)
def test_the_grade_is_the_first_fast_time_through_of_the_day(words: str, number: int) -> None:
    assert graded(stands(words)) == number


def test_what_was_broken_off_is_graded_as_shaky_whatever_is_said_of_it() -> None:
    (attempt,) = noted("0 72 secure alone")
    aims = aims_of(goal_at(), None)
    assert graded(standing([attempt], aims, datetime.date)) == 4
    assert graded(standing([again(attempt, repetitions=0)], aims, datetime.date)) == 2


def test_a_passage_that_keeps_holding_is_left_alone_longer_and_longer() -> None:
    memory, gaps = None, []
    day = stands("0 72 held click").last
    assert day is not None
    for _ in range(6):
        memory = remembered(memory, day)
        gaps.append(memory.due - memory.day)
        day = replace(day, day=memory.due)
    assert gaps == sorted(gaps)
    assert gaps[0] < gaps[-1]


def test_towards_a_concert_a_gap_is_a_fifth_of_the_days_that_are_left() -> None:
    memory = stands("0 72 secure alone").memory
    assert memory is not None
    today = memory.day
    assert memory.due == today + 8
    assert due_by(memory, None) == today + 8
    assert due_by(memory, today + 100) == today + 8
    assert due_by(memory, today + 20) == today + 4
    assert due_by(memory, today + 3) == today + 1
    assert due_by(memory, today) == today + 8  # the concert of that very day
    assert due_by(memory, today - 1) == today + 8  # a concert that is over


def test_an_hour_more_or_less_makes_no_day() -> None:
    # A practice day is a day, whether clocks change in it or the player began late.
    early = stands("0 72 held click\n2 72 held click")
    late = stands("0 72 held click\n0 60 held click\n0 60 held click\n2 72 held click")
    assert early.memory == late.memory

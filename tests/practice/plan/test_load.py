"""A week that grows too fast is told: once, with a number, without advice that is not ours."""

from datetime import date, timedelta

from companion.practice.plan.day_plan import GrowingLoad
from companion.practice.plan.habits import Habits
from companion.practice.plan.planner import growing_load
from tests.practice.noted import on


def even(minutes: float, days: int, until: date) -> dict[date, float]:
    return {until - timedelta(days=back): minutes for back in range(1, days + 1)}


def test_an_even_month_says_nothing() -> None:
    assert growing_load(even(30, 28, on(40)), on(40), 30, Habits()) is None


def test_more_than_a_fifth_in_a_week_is_said() -> None:
    # A tenth to a fifth a week: common practice; sudden increase: Chan & Ackermann 2014.
    played = even(30, 28, on(40))  # 210 minutes a week
    assert growing_load(played, on(40), 72, Habits()) is None  # 252 = 210 + 20 %
    assert growing_load(played, on(40), 73, Habits()) == GrowingLoad(253, 210, 20)


def test_the_player_sets_how_much_is_much() -> None:
    assert growing_load(even(30, 28, on(40)), on(40), 73, Habits(most_growth=30)) is None


def test_beginning_again_after_a_pause_is_a_jump() -> None:
    played = {on(20): 60.0, on(40) - timedelta(days=1): 90.0}
    assert growing_load(played, on(40), 60, Habits()) is not None


def test_a_first_week_has_nothing_to_be_compared_with() -> None:
    assert growing_load(even(60, 3, on(40)), on(40), 60, Habits()) is None


def test_a_few_minutes_are_no_load() -> None:
    assert growing_load({on(30): 5.0}, on(40), 45, Habits()) is None


def test_what_was_played_today_is_not_counted_on_top() -> None:
    played = {**even(30, 28, on(40)), on(40): 20.0}
    assert growing_load(played, on(40), 60, Habits()) is None

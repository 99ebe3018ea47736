"""Series over time and along the score."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from companion.practice.attempt import Outcome
from companion.practice.mastery.passage_day import passage_days
from companion.practice.mastery.progress_series import (
    heat,
    practice_calendar,
    share_that_holds,
    tempo_held,
)
from companion.practice.mastery.standing import aims_of, standing
from companion.practice.mastery.states import MasteryState
from companion.practice.pace import pace_of
from tests.practice.noted import at_bars, goal_at, new_ones, noted, on

HOLDS = "0 72 held click\n1 72 held click\n2 72 held click"
CLIMBS = "0 60 held click"


def test_tempo_over_time_is_the_fastest_that_held_each_day() -> None:
    words = "0 50 held click\n0 60 held alone\n2 66 shaky click\n3 66 held click"
    days = passage_days(noted(words), pace_of(Fraction(72), "quarter"), datetime.date)
    points = tempo_held(days, "quarter")
    assert [(p.day, p.tempo, p.has_held, p.is_alone) for p in points] == [
        (on(0), Fraction(60), True, True),
        (on(2), Fraction(66), False, False),
        (on(3), Fraction(66), True, False),
    ]


def test_a_days_times_through_are_summed_up() -> None:
    tries = noted(
        "0 50 held click\n0 60 held alone\n0 66 shaky click\n0 63 apart click\n0 70 secure click"
    )
    tries[-1] = replace(tries[-1], repetitions=0)  # broken off: that did not hold
    (day,) = passage_days(tries, pace_of(Fraction(72), "quarter"), datetime.date)
    assert (day.day, day.tries, day.clean, day.seconds) == (on(0).toordinal(), 5, 2, 300)
    assert (day.tried, day.held, day.alone, day.failed) == tuple(
        pace_of(Fraction(tempo), "quarter") for tempo in (70, 60, 60, 63)
    )
    assert (day.test, day.best) == (Outcome.HELD.rank, Outcome.HELD.rank)
    assert day.has_slipped and not any(day.meets)


def test_a_week_begins_on_monday() -> None:
    # ISO 8601: weeks begin on Monday; 2 March 2026 is one (date.isoweekday).
    assert on(0).isoweekday() == 1
    (week,) = practice_calendar({on(0): 20.0, on(6): 5.5}, on(3), on(3))
    assert week.monday == on(0)
    assert week.minutes == (20.0, 0.0, 0.0, 0.0, 0.0, 0.0, 5.5)
    assert week.total == 25.5


@given(st.dates(date(1990, 1, 1), date(2100, 1, 1)), st.integers(0, 400))
def test_a_calendar_leaves_out_no_day_and_no_week(first: date, length: int) -> None:
    last = first + timedelta(days=length)
    weeks = practice_calendar({}, first, last)
    assert weeks[0].monday <= first
    assert weeks[-1].monday <= last < weeks[-1].monday + timedelta(days=7)
    gaps = {(b.monday - a.monday).days for a, b in zip(weeks, weeks[1:], strict=False)}
    assert gaps <= {7}


def test_each_bar_is_as_warm_as_the_passage_that_covers_it() -> None:
    found = heat([at_bars(1, HOLDS), at_bars(5, CLIMBS), *new_ones([9])], 14, on(3))
    assert found == [
        *[MasteryState.WITH_CLICK] * 4,
        *[MasteryState.TAKING_SHAPE] * 4,
        *[MasteryState.NEW] * 4,
        None,
        None,
    ]


def test_where_passages_overlap_the_one_practised_last_says_it() -> None:
    later = at_bars(3, "9 60 held click")
    found = heat([at_bars(1, HOLDS), later], 6, on(3))
    assert found[:2] == [MasteryState.WITH_CLICK] * 2
    assert found[2:] == [MasteryState.TAKING_SHAPE] * 4


def test_of_two_passages_of_one_day_the_longer_says_it() -> None:
    short = at_bars(3, "0 72 held click\n1 72 held click")
    long = standing(
        [replace(one, last_bar=8) for one in noted("1 60 held click", 1)],
        aims_of(goal_at(1), None),
        datetime.date,
    )
    for both in ([short, long], [long, short]):
        assert heat(both, 8, on(1)) == [MasteryState.TAKING_SHAPE] * 8
    assert heat([short], 5, on(1)) == [None] * 2 + [MasteryState.WITH_CLICK] * 3


def test_what_was_played_says_more_than_a_goal_that_waits() -> None:
    for both in ([at_bars(1, HOLDS), *new_ones([3])], [*new_ones([3]), at_bars(1, HOLDS)]):
        found = heat(both, 6, on(3))
        assert found == [MasteryState.WITH_CLICK] * 4 + [MasteryState.NEW] * 2


def test_only_bars_that_are_played_count_in_the_share() -> None:
    heats = [
        MasteryState.WITH_CLICK,
        MasteryState.HOLDS,
        MasteryState.READY,
        MasteryState.RETURN,
        MasteryState.NEW,
        None,
        None,
    ]
    share = share_that_holds(heats, [True] * 6 + [False])
    assert (share.bars, share.with_click, share.alone, share.returns) == (6, 1, 2, 1)
    assert share.holding == Fraction(1, 2)


def test_a_part_that_rests_throughout_has_no_share() -> None:
    assert share_that_holds([None], [False]).holding == 0

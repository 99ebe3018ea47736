"""A day's plan: what is in it, in which order, for how long, and why."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.errors import RequestError
from companion.practice.mastery.standing import Standing
from companion.practice.plan.day_plan import (
    Cause,
    DayPlan,
    DueLater,
    Item,
    ItemKind,
    Reason,
    Unplanned,
)
from companion.practice.plan.habits import Habits
from companion.practice.plan.planner import plan_for
from companion.wording.plan_sentences import why_told
from tests.practice.noted import at_bars, bars_at, new_ones, on

HABITS = Habits()
HOLDS = "0 72 held click\n1 72 held click\n2 72 held click"
CLIMBS = "0 60 held click"


def planned(standings: list[Standing], number: int, minutes: int = 30) -> DayPlan:
    return plan_for(standings, on(number), minutes, HABITS)


def passages(plan: DayPlan) -> list[int]:
    return [item.bars.first for item in plan.items if item.bars is not None]


def kinds(plan: DayPlan) -> list[ItemKind]:
    return [item.kind for item in plan.items]


def first(plan: DayPlan, begin: int) -> Item:
    return next(item for item in plan.items if item.bars == bars_at(begin))


def test_it_begins_with_something_easy() -> None:
    plan = planned([at_bars(13, CLIMBS)], 2)
    assert plan.items[0].kind is ItemKind.WARM_UP


def test_what_held_and_is_due_comes_before_what_takes_shape_and_what_is_new() -> None:
    plan = planned([*new_ones([1]), at_bars(13, CLIMBS), at_bars(21, HOLDS)], 40)
    assert passages(plan)[:3] == [21, 13, 1]


def test_passages_are_interleaved_and_come_back() -> None:
    plan = planned([at_bars(13, CLIMBS), at_bars(17, CLIMBS), at_bars(21, CLIMBS)], 3)
    order = passages(plan)
    assert order[:6] == [*order[:3], *order[:3]]
    assert len(set(order[:3])) == 3


def test_of_what_was_never_tried_a_second_visit_does_not_say_that_it_held() -> None:
    plan = planned(new_ones([1]), 0)
    assert [why_told(item, on(0)) for item in plan.items if item.is_passage][1] == "new: once more"


def test_nothing_is_offered_three_times_and_what_is_left_is_music() -> None:
    plan = planned([at_bars(13, CLIMBS)], 3, minutes=45)
    assert passages(plan) == [13, 13]
    assert (kinds(plan)[-1], plan.items[-1].title) == (ItemKind.MUSIC, "Study in two meters")
    assert sum(item.minutes for item in plan.items) == 45
    assert plan.warnings == ()


def test_what_even_music_does_not_fill_is_told() -> None:
    plan = planned([at_bars(13, CLIMBS)], 3, minutes=200)
    assert kinds(plan).count(ItemKind.MUSIC) == 2
    assert plan.warnings == (Unplanned(200 - sum(item.minutes for item in plan.items)),)


def test_the_next_tempo_is_one_step_up() -> None:
    item = first(planned([at_bars(13, CLIMBS)], 2), 13)
    assert (item.kind, item.tempo, item.beat) == (ItemKind.NEXT_TEMPO, "64", "quarter")
    assert item.why == Reason(cause=Cause.HELD, day=on(0), pace=(60, 1))


def test_a_return_is_tried_at_the_goal_tempo() -> None:
    one = at_bars(13, HOLDS)
    item = first(planned([one], one.due - on(0).toordinal()), 13)
    assert (item.kind, item.tempo) == (ItemKind.RETURN, "72")
    assert item.why == Reason(cause=Cause.DUE, day=date.fromordinal(one.due))


def test_only_so_many_new_ones_a_day() -> None:
    plan = planned([*new_ones(range(1, 60, 4)), at_bars(101, CLIMBS)], 2, 90)
    assert len({*passages(plan)} - {101}) == HABITS.new_a_day


def test_where_nothing_is_in_work_a_few_more_are_begun_the_hardest_first_each_twice() -> None:
    hard = [replace(one, hardness=one.bars.first) for one in new_ones(range(1, 60, 4))]
    plan = planned(hard, 0, 90)
    assert passages(plan) == [57, 53, 49, 45, 41] * 2


def test_new_ones_are_begun_in_time_even_when_there_is_no_room() -> None:
    # Eight are new, sixteen days are left: all must be begun in eight, so one a day.
    due = [at_bars(number, CLIMBS) for number in range(101, 181, 4)]
    concert = on(18)
    plan = planned([*due, *new_ones(range(1, 33, 4), concert)], 2, 20)
    assert ItemKind.NEW in kinds(plan)
    assert ItemKind.NEW not in kinds(planned([*due, *new_ones([1], on(300))], 2, 20))


def test_in_the_last_days_it_is_run_through_and_nothing_is_begun() -> None:
    concert = on(10)
    standings = [at_bars(13, HOLDS, concert), at_bars(17, CLIMBS, concert), *new_ones([1], concert)]
    plan = planned(standings, 8)
    through = plan.items[1]
    assert (through.kind, through.label) == (ItemKind.RUN_THROUGH, "13–16")
    assert through.why == Reason(cause=Cause.CONCERT, to_concert=2)
    assert ItemKind.NEW not in kinds(plan)
    assert passages(plan).count(13) == 2
    assert first(plan, 17).tempo == "60"


@pytest.mark.parametrize(
    ("first", "last", "through"),
    [
        ("I:13–16", "II:1–4", "I:13–II:4"),
        ("II:5–8", "II:9–12", "II:5–12"),
        ("@13–@16", "17–20", "@13–@20"),
        ("12–15", "@17–@20", "12–@20"),
    ],
)
def test_a_run_through_is_named_as_printed(first: str, last: str, through: str) -> None:
    standings = [at_bars(13, HOLDS, on(10)), at_bars(17, HOLDS, on(10))]
    named = [replace(one, label=label) for one, label in zip(standings, (first, last), strict=True)]
    (whole,) = [item for item in planned(named, 9).items if item.kind is ItemKind.RUN_THROUGH]
    assert whole.label == through


def test_after_the_concert_it_is_an_ordinary_day_again() -> None:
    assert ItemKind.RUN_THROUGH not in kinds(planned([at_bars(13, HOLDS, on(10))], 11))


def test_towards_a_concert_passages_come_back_sooner() -> None:
    far, near = at_bars(13, HOLDS, on(300)), at_bars(13, HOLDS, on(12))
    assert near.planned < far.planned == far.due


def test_what_does_not_fit_is_counted() -> None:
    plan = planned([at_bars(number, CLIMBS) for number in range(1, 81, 4)], 5, 20)
    assert plan.warnings[0] == DueLater(15)


def test_the_same_log_gives_the_same_plan() -> None:
    standings = [*new_ones([1, 5]), at_bars(13, CLIMBS), at_bars(21, HOLDS)]
    assert planned(standings, 9) == planned(list(reversed(standings)), 9)


def test_nothing_to_practise_is_a_plan_too() -> None:
    assert kinds(planned([], 0)) == [ItemKind.WARM_UP]


@pytest.mark.parametrize("minutes", [4, 601, 0, -3])
def test_minutes_nobody_can_plan_are_refused(minutes: int) -> None:
    with pytest.raises(RequestError):
        planned([], 0, minutes)


@given(
    st.integers(5, 600),
    st.lists(st.integers(0, 40), max_size=30),
    st.integers(0, 30),
    st.integers(2, 200),
)
def test_a_plan_fits_its_minutes_and_rests_in_every_half_hour(
    minutes: int, tried: list[int], new: int, number: int
) -> None:
    # Five minutes of rest in each half hour: common practice, no source.
    standings = [at_bars(200 + 4 * n, CLIMBS) for n in sorted(set(tried))]
    standings += new_ones([1 + 4 * n for n in range(new)])
    plan = planned(standings, number, minutes)
    assert sum(item.minutes for item in plan.items) <= minutes
    assert all(item.minutes >= 1 for item in plan.items)
    stretch = 0
    for item in plan.items:
        stretch = 0 if item.kind is ItemKind.BREAK else stretch + item.minutes
        assert stretch <= HABITS.break_every
    assert not plan.items or plan.items[-1].kind is not ItemKind.BREAK
    assert date.fromisoformat(plan.day) == on(number)

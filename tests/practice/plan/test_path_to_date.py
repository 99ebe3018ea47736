"""The way to a date: slow at first, even steps to the goal, run through only what is learned."""

from __future__ import annotations

import dataclasses
from collections import Counter
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from companion.practice.attempt import Bars, Outcome
from companion.practice.goal import OccasionKind
from companion.practice.mastery.passage_day import passage_days
from companion.practice.mastery.standing import Standing, after, aims_of, untried
from companion.practice.pace import tempo_at
from companion.practice.plan.day_plan import Cause, Item, ItemKind, Reason
from companion.practice.plan.habits import Habits
from companion.practice.plan.path_to_date import DayLadder, day_ladder
from companion.practice.plan.planner import plan_for
from tests.practice.noted import at_bars, bars_at, goal_at, noted, on

HABITS = Habits()
CONCERT, REHEARSAL, LESSON = OccasionKind.CONCERT, OccasionKind.REHEARSAL, OccasionKind.LESSON
KINDS = st.sampled_from([CONCERT, REHEARSAL, LESSON, OccasionKind.OTHER])


def new_by(number: int, kind: OccasionKind, first: int = 13, tempo: int = 72) -> Standing:
    goal = goal_at(first, tempo)
    return untried(goal, aims_of(goal, on(number), kind))


def played(before: Standing, number: int, tempos: list[Fraction], how: Outcome) -> Standing:
    """The passage after a day on which every tempo went so."""
    attempts = [
        dataclasses.replace(one, tempo=tempo, outcome=how)
        for one in noted(f"{number} 60 held alone", before.bars.first)
        for tempo in tempos
    ]
    (day,) = passage_days(attempts, before.aims.goal, lambda at: at.date())
    return after(before, day)


def climbed(ladder: DayLadder) -> list[Fraction]:
    tempos = [ladder.start]
    while tempos[-1] < ladder.top:
        tempos.append(min(ladder.top, tempos[-1] + ladder.step))
    return tempos


@given(st.integers(1, 60), st.integers(30, 200), KINDS)
def test_even_steps_reach_the_goal_on_the_last_day_on_which_the_tempo_may_rise(
    days: int, tempo: int, kind: OccasionKind
) -> None:
    one = new_by(days, kind, tempo=tempo)
    goal = tempo_at(one.aims.goal, one.aims.beat)
    tops, starts = [], []
    for number in range(days):
        ladder = day_ladder(one, on(number), HABITS)
        tops.append(ladder.top)
        starts.append(ladder.start)
        assert ladder.start <= ladder.top <= goal
        assert len(climbed(ladder)) <= 8
        one = played(one, number, climbed(ladder), Outcome.SECURE)
    assert starts[0] <= Fraction(13, 20) * goal or goal < 20
    assert tops == sorted(tops)
    assert starts == sorted(starts)
    assert tops[-1] == goal


def test_a_passage_by_thursdays_rehearsal_goes_up_in_three_ladders() -> None:
    one, ladders = new_by(3, REHEARSAL), []
    for number in range(3):
        ladder = day_ladder(one, on(number), HABITS)
        ladders.append((int(ladder.start), int(ladder.top)))
        one = played(one, number, climbed(ladder), Outcome.HELD)
    assert ladders == [(43, 53), (57, 65), (69, 72)]


def through(standings: list[Standing], number: int, minutes: int = 45) -> list[str]:
    plan = plan_for(standings, on(number), minutes, HABITS)
    return [item.label for item in plan.items if item.kind is ItemKind.RUN_THROUGH]


LEARNED = "0 72 held click\n1 72 held alone\n2 72 held alone"


def by(first: int, words: str, number: int, kind: OccasionKind) -> Standing:
    goal = goal_at(first)
    return replace(at_bars(first, words), aims=aims_of(goal, on(number), kind))


@pytest.mark.parametrize(
    ("kind", "days"), [(CONCERT, [5, 6, 7, 8, 9, 10]), (REHEARSAL, [9, 10]), (LESSON, [])]
)
def test_a_rehearsal_is_run_through_on_its_eve_a_concert_for_days_a_lesson_never(
    kind: OccasionKind, days: list[int]
) -> None:
    one = by(13, LEARNED, 10, kind)
    assert [number for number in range(3, 13) if through([one], number)] == days


def test_what_never_held_ends_a_run_through() -> None:
    firsts = {1: LEARNED, 5: LEARNED, 9: "0 60 shaky click", 13: LEARNED}
    parts = [by(first, words, 10, CONCERT) for first, words in firsts.items()]
    assert through(parts, 9) == ["1–8", "13–16"]
    assert through([*parts[:2], parts[3]], 9) == ["1–16"]
    longer = by(2, "0 72 shaky click", 10, CONCERT)
    assert "1–8" not in through([*parts, longer], 9)


def test_a_concert_is_run_through_first_a_rehearsal_after_the_hard_spots() -> None:
    def kinds(kind: OccasionKind) -> list[ItemKind]:
        spots = [by(13, LEARNED, 10, kind), by(17, "0 60 held click", 10, kind)]
        return [item.kind for item in plan_for(spots, on(9), 45, HABITS).items if item.bars]

    assert kinds(CONCERT)[0] is ItemKind.RUN_THROUGH
    assert kinds(REHEARSAL)[0] is not ItemKind.RUN_THROUGH
    assert kinds(REHEARSAL)[-1] is ItemKind.RUN_THROUGH


@pytest.mark.parametrize(("kind", "tempo"), [(CONCERT, "60"), (REHEARSAL, "64"), (LESSON, "64")])
def test_only_a_concert_keeps_the_tempo_down_on_its_eve(kind: OccasionKind, tempo: str) -> None:
    one = by(13, "0 60 held click\n8 60 held click", 10, kind)
    plan = plan_for([one], on(9), 30, HABITS)
    assert next(item.tempo for item in plan.items if item.bars) == tempo


def test_new_passages_are_begun_up_to_a_lesson_but_not_on_the_eve_of_a_rehearsal() -> None:
    def firsts(kind: OccasionKind, number: int) -> set[int]:
        work = [by(13, "0 60 held click", 10, kind), new_by(10, kind, 1)]
        plan = plan_for(work, on(number), 45, HABITS)
        return {item.bars.first for item in plan.items if item.bars}

    assert 1 in firsts(LESSON, 10)
    assert 1 in firsts(REHEARSAL, 8)
    assert 1 not in firsts(REHEARSAL, 9)
    assert 1 not in firsts(CONCERT, 6)


def exercise(first: int) -> Item:
    why = Reason(cause=Cause.ASSIGNED, day=on(9))
    bars = Bars("ee" * 16, "P1", first, first + 3)
    return Item(kind=ItemKind.EXERCISE, minutes=3, why=why, bars=bars, title="At the frog")


def test_an_assigned_exercise_gets_minutes_however_much_is_due() -> None:
    due = [at_bars(first, "0 60 held click") for first in range(101, 181, 4)]
    plan = plan_for(due, on(2), 30, HABITS, exercises=[exercise(n) for n in range(1, 40, 4)])
    found = [item.bars.first for item in plan.items if item.kind is ItemKind.EXERCISE and item.bars]
    assert found == [1, 5]
    assert ItemKind.EXERCISE in {
        item.kind for item in plan_for([], on(2), 10, HABITS, exercises=[exercise(1)]).items
    }


PASSAGE = st.tuples(
    st.sampled_from(["", "0 60 held click", "0 60 shaky click", LEARNED, "2 72 apart alone"]),
    st.integers(0, 30),
    KINDS,
    st.booleans(),
)


@settings(max_examples=200)
@given(st.integers(5, 600), st.lists(PASSAGE, max_size=20), st.integers(3, 30), st.integers(0, 4))
def test_a_plan_fits_its_minutes_offers_nothing_three_times_and_runs_through_what_held(
    minutes: int, work: list[tuple[str, int, OccasionKind, bool]], number: int, exercises: int
) -> None:
    standings = []
    for index, (words, day, kind, has_date) in enumerate(work):
        goal = goal_at(1 + 4 * index)
        aims = aims_of(goal, on(day) if has_date else None, kind)
        one = at_bars(1 + 4 * index, words) if words else untried(goal, aims)
        standings.append(replace(one, aims=aims))
    asked = [exercise(1 + 4 * n) for n in range(exercises)]
    plan = plan_for(standings, on(number), minutes, HABITS, exercises=asked)
    assert sum(item.minutes for item in plan.items) <= minutes
    assert plan == plan_for(standings[::-1], on(number), minutes, HABITS, exercises=asked)
    left = minutes - sum(item.minutes for item in plan.items)
    music = [item for item in plan.items if item.kind is ItemKind.MUSIC]
    assert len(music) <= 2
    assert left <= 6 or len(music) == 2 or not any(item.bars for item in plan.items)
    offered: Counter[int] = Counter()
    for item in plan.items:
        if item.bars is not None and item.kind is not ItemKind.EXERCISE:
            offered.update(range(item.bars.first, item.bars.last + 1))
    assert max(offered.values(), default=0) <= 2
    held = {one.bars.first for one in standings if one.held == one.aims.goal}
    for item in plan.items:
        if item.kind is ItemKind.RUN_THROUGH and item.bars is not None:
            assert set(range(item.bars.first, item.bars.last, 4)) <= held


def test_monday_to_thursday_is_full_and_slow_at_first() -> None:
    """The goal that once gave one run-through and 34 empty minutes."""
    plan = plan_for([new_by(3, REHEARSAL)], on(0), 45, HABITS)
    assert sum(item.minutes for item in plan.items) == 45
    first, second = (item for item in plan.items if item.bars == bars_at(13))
    assert (first.kind, first.tempo, first.top) == (ItemKind.NEW, "43", "53")
    assert first.why == Reason(
        cause=Cause.NOT_TRIED, pace=(72, 1), to_concert=3, occasion=REHEARSAL
    )
    assert second.minutes >= HABITS.visit
    assert date.fromisoformat(plan.day) + timedelta(days=3) == on(3)

"""The player has the last word about a plan; what is not played is planned again."""

import pytest
from msgspec.structs import replace

from companion.errors import RequestError
from companion.practice.attempt import Bars
from companion.practice.plan.day_plan import (
    DayPlan,
    ItemKind,
    accepted,
    carried_over,
    is_covered,
    moved_item,
    not_played,
    replaced,
    skipped,
)
from companion.practice.plan.habits import Habits
from companion.practice.plan.planner import plan_for
from companion.wording.plan_sentences import why_told
from tests.practice.noted import DIGEST, at_bars, bars_at, on

CLIMBS = "0 60 held click"


def plan(number: int = 3, count: int = 12, minutes: int = 20) -> DayPlan:
    standings = [at_bars(1 + 4 * n, CLIMBS) for n in range(count)]
    return plan_for(standings, on(number), minutes, Habits())


def firsts(made: DayPlan) -> list[int]:
    return [item.bars.first for item in made.items if item.bars is not None]


def test_an_item_is_moved_to_where_the_player_wants_it() -> None:
    before = plan()
    after = moved_item(before, 5, 2)
    assert after.items[1] == before.items[4]
    assert sorted(firsts(after)) == sorted(firsts(before))


def numbers(made: DayPlan, first: int) -> list[int]:
    return [n for n, item in enumerate(made.items, 1) if item.bars == bars_at(first)]


def whys(made: DayPlan, first: int) -> list[str]:
    return [why_told(item, on(3)) for item in made.items if item.bars == bars_at(first)]


@pytest.mark.parametrize("visit", [0, 1])
def test_of_two_visits_one_is_skipped_and_the_other_is_no_second_one(visit: int) -> None:
    before = plan(count=2)
    after = skipped(before, numbers(before, 1)[visit])
    assert len(after.items) == len(before.items) - 1
    assert whys(after, 1) == whys(before, 1)[:1]
    assert whys(after, 5) == whys(before, 5)


def test_both_visits_are_skipped_one_by_one_and_the_rest_stays() -> None:
    before = plan(count=1, minutes=60)
    once = skipped(before, numbers(before, 1)[0])
    after = skipped(once, numbers(once, 1)[0])
    left = [item.kind for item in before.items if not item.is_passage]
    assert [item.kind for item in after.items] == left
    assert set(left) == {ItemKind.WARM_UP, ItemKind.BREAK, ItemKind.MUSIC}


def test_a_break_without_playing_before_or_after_it_goes_too() -> None:
    made = plan(minutes=60)
    number = next(n for n, item in enumerate(made.items, 1) if item.kind is ItemKind.BREAK)
    for _ in range(number - 1):
        made = skipped(made, 1)
    assert made.items[0].kind is not ItemKind.BREAK
    while made.items:
        assert made.items[-1].kind is not ItemKind.BREAK
        made = skipped(made, len(made.items))


def test_a_break_tells_the_minutes_that_are_left_before_it() -> None:
    made = skipped(plan(minutes=60), 2)
    number = next(n for n, item in enumerate(made.items) if item.kind is ItemKind.BREAK)
    minutes = sum(item.minutes for item in made.items[:number])
    assert f"after {minutes} minutes of playing" in why_told(made.items[number], on(3))


@pytest.mark.parametrize("minutes", [15, 20, 45, 90])
def test_what_was_skipped_stays_out_of_a_plan_for_other_minutes(minutes: int) -> None:
    before = plan(count=4, minutes=45)
    twice = skipped(before, numbers(before, 1)[1])
    gone = skipped(twice, numbers(twice, 9)[0])
    gone = skipped(gone, numbers(gone, 9)[0])
    gone = skipped(gone, 1)
    standings = [at_bars(1 + 4 * n, CLIMBS) for n in range(4)]
    after = plan_for(standings, on(3), minutes, Habits(), skipped=gone.skipped)
    assert firsts(after).count(9) == 0
    assert firsts(after).count(1) == 1
    assert ItemKind.WARM_UP not in {item.kind for item in after.items}
    assert after.skipped == gone.skipped


def test_a_replaced_passage_makes_room_for_what_would_have_come_next() -> None:
    before = plan()
    after = replaced(before, 2)
    assert after.items[1].bars == before.spare[0].bars
    assert after.spare == before.spare[1:]
    assert after.items[1].minutes == before.items[1].minutes


def test_a_warm_up_cannot_be_replaced_and_a_spare_must_be_there() -> None:
    with pytest.raises(RequestError):
        replaced(plan(), 1)
    with pytest.raises(RequestError):
        replaced(plan(count=1), 2)


@pytest.mark.parametrize("number", [0, -1, 99])
def test_there_is_no_item_with_that_number(number: int) -> None:
    with pytest.raises(RequestError):
        skipped(plan(), number)


def test_only_an_accepted_plan_owes_anything() -> None:
    assert not_played(plan(), []) == ()
    assert len(not_played(accepted(plan()), [])) == len(set(firsts(plan())))


def test_what_was_played_by_half_is_done() -> None:
    assert is_covered(bars_at(13), Bars(DIGEST, "P3", 15, 30))
    assert not is_covered(bars_at(13), Bars(DIGEST, "P3", 16, 30))
    assert not is_covered(bars_at(13), Bars(DIGEST, "P4", 13, 16))


def test_what_is_not_played_is_planned_first_and_says_since_when() -> None:
    first = accepted(plan(3))
    left = carried_over([first], [(bars_at(1), on(3))], on(4))
    assert bars_at(1) not in {item.bars for item in left}
    standings = [at_bars(1 + 4 * n, CLIMBS) for n in range(40)]
    second = plan_for(standings, on(4), 60, Habits(), left=left)
    passages = [item for item in second.items if item.bars is not None]
    assert [item.bars for item in passages[: len(left)]] == [item.bars for item in left]
    assert why_told(passages[0], on(4)).startswith("next tempo: not played on 5 March 2026; ")
    again = carried_over([first, accepted(second)], [], on(5))
    assert again[0].planned_on == "2026-03-05"


def test_what_was_played_later_is_no_longer_owed() -> None:
    first = accepted(plan(3))
    assert (
        carried_over([first], [(item.bars, on(6)) for item in first.items if item.bars], on(7))
        == []
    )


def test_after_two_weeks_it_is_forgotten() -> None:
    assert carried_over([accepted(plan(3))], [], on(18)) == []
    assert carried_over([accepted(plan(3))], [], on(17)) != []


def test_a_plan_of_today_owes_nothing_yet() -> None:
    assert carried_over([accepted(replace(plan(3), day=on(4).isoformat()))], [], on(4)) == []

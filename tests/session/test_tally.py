"""What counts as a time through: whole ones, at the tempo and click they had from end to end."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.click.plan.layers import Layer
from companion.click.plan.silences import Every
from companion.click.plan.tempo_plan import Fixed
from companion.session.settings import Setting
from companion.session.tally import Tally

SLOW = Setting(Fixed(Fraction(60)))
MIDDLE = replace(SLOW, tempo=Fixed(Fraction(70)))
FAST = replace(SLOW, tempo=Fixed(Fraction(80)))
SILENT = replace(SLOW, silences=(Every(4),))
BARE = replace(SLOW, layers=(Layer.BEAT,))


@pytest.fixture
def tally() -> Tally:
    """A minute goes by whenever the clock is read, so that nothing is over in a moment."""
    minutes = count(0.0, 60.0)
    return Tally(lambda: next(minutes))


def last_whole(tally: Tally, passes: int) -> tuple[Setting, int] | None:
    """How it last went from end to end, and how often."""
    whole = [one for one in tally.stretches(passes) if one.times]
    return (whole[0].setting, whole[0].times) if whole else None


@pytest.mark.parametrize("harder", [FAST, SILENT, BARE])
def test_a_time_through_made_harder_counts_as_it_began_once_it_is_over(
    tally: Tally, harder: Setting
) -> None:
    tally.plays(SLOW, 0)
    tally.plays(harder, 2, is_midway=True)
    assert last_whole(tally, 2) == (SLOW, 2), "the third is not over yet"
    assert last_whole(tally, 3) == (SLOW, 3)
    assert last_whole(tally, 4) == (harder, 1)


def test_the_first_time_through_does_not_count_before_its_end(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.plays(FAST, 0, is_midway=True)
    assert last_whole(tally, 0) is None
    assert last_whole(tally, 1) == (SLOW, 1)


@pytest.mark.parametrize("easier", [SLOW, replace(FAST, layers=(*FAST.layers, Layer.BAR))])
def test_a_time_through_made_easier_counts_as_it_ended(tally: Tally, easier: Setting) -> None:
    tally.plays(FAST, 0)
    tally.plays(easier, 2, is_midway=True)
    assert last_whole(tally, 2) == (FAST, 2)
    assert last_whole(tally, 3) == (easier, 1)
    assert [one.times for one in tally.stretches(3)] == [1, 2], "the faster ones are still there"


def test_silences_taken_away_make_it_easier(tally: Tally) -> None:
    tally.plays(SILENT, 0)
    tally.plays(SLOW, 1, is_midway=True)
    assert last_whole(tally, 2) == (SLOW, 1)


def test_bars_left_out_spoil_the_time_through_they_are_in_also_after_a_change(
    tally: Tally,
) -> None:
    tally.plays(FAST, 0)
    tally.skips(0)
    tally.plays(SLOW, 0, is_midway=True)
    assert last_whole(tally, 1) is None
    assert last_whole(tally, 2) == (SLOW, 1)


def test_who_plays_along_does_not_change_the_count(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    along = replace(SLOW, are_others_on=True)
    tally.plays(along, 2, is_midway=True)
    assert last_whole(tally, 3) == (along, 3)


def test_made_harder_twice_in_one_time_through_it_counts_as_it_began(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.plays(MIDDLE, 2, is_midway=True)
    tally.plays(FAST, 2, is_midway=True)
    assert last_whole(tally, 2) == (SLOW, 2)
    assert last_whole(tally, 3) == (SLOW, 3)
    assert last_whole(tally, 4) == (FAST, 1)


def test_made_harder_again_in_the_next_time_through_the_earlier_ones_stay(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.plays(MIDDLE, 2, is_midway=True)
    tally.plays(FAST, 3, is_midway=True)
    assert last_whole(tally, 3) == (SLOW, 3)
    assert last_whole(tally, 4) == (MIDDLE, 1), "the fourth began at that tempo"
    assert [one.times for one in tally.stretches(4)] == [0, 1, 3]


def test_the_time_through_after_one_with_bars_left_out_counts_again(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.skips(1)
    assert last_whole(tally, 2) == (SLOW, 1), "the second was not whole"
    assert last_whole(tally, 3) == (SLOW, 2)


def test_a_new_track_that_counts_from_nothing_takes_none_of_the_old_ones_away(
    tally: Tally,
) -> None:
    tally.plays(SLOW, 0)
    tally.plays(FAST, 0, before=3)
    assert last_whole(tally, 0) == (SLOW, 3)
    assert last_whole(tally, 1) == (FAST, 1)


def test_seconds_are_those_that_were_played_and_a_minutes_rest_breaks_them() -> None:
    now = 100.0
    tally = Tally(lambda: now)

    def after(seconds: float) -> tuple[float, float]:
        nonlocal now
        now += seconds
        return tally.seconds, tally.unbroken

    assert after(7) == (0, 0)
    tally.plays(SLOW, 0)
    assert after(30) == (30, 30)
    tally.plays(FAST, 0)
    assert after(10) == (10, 40), "the time before belongs to the tempo before"
    tally.pauses()
    tally.pauses()
    assert after(59) == (10, 40)
    tally.plays(FAST, 0)
    assert after(5) == (15, 45)
    tally.stops(0)
    assert after(60) == (15, 45)
    tally.plays(FAST, 0)
    assert after(5) == (20, 5), "a minute is a rest"
    assert [one.seconds for one in tally.stretches(0)] == [20, 30]
    tally.starts_again(0)
    assert after(3) == (3, 8), "noting an attempt is none"


class Hands:
    """A stopwatch and a wall clock that are moved together."""

    def __init__(self) -> None:
        self.seconds = 0.0
        self.tally = Tally(lambda: self.seconds, self.moment)

    def moment(self) -> datetime:
        return datetime(2026, 3, 1, 23, 59, tzinfo=UTC) + timedelta(seconds=self.seconds)

    def told(self, passes: int) -> list[tuple[Setting, int, float]]:
        found = self.tally.stretches(passes)
        return [(one.setting, one.times, one.seconds) for one in found]


def test_each_stretch_ended_when_it_was_last_heard_also_beyond_midnight() -> None:
    hands = Hands()
    hands.tally.plays(SLOW, 0)
    hands.seconds = 50
    hands.tally.plays(FAST, 1)
    hands.seconds = 90
    hands.tally.pauses()
    hands.seconds = 1000
    fast, slow = hands.tally.stretches(2)
    assert f"{slow.ended:%d %H:%M:%S}" == "01 23:59:50"
    assert f"{fast.ended:%d %H:%M:%S}" == "02 00:00:30", "not when it was rated"


def test_tempos_passed_on_the_way_to_another_belong_to_that_one() -> None:
    hands = Hands()
    hands.tally.plays(SLOW, 0)
    hands.seconds = 30
    hands.tally.plays(MIDDLE, 2)
    hands.seconds = 32
    hands.tally.plays(FAST, 2)
    hands.seconds = 40
    assert hands.told(3) == [(FAST, 1, 10), (SLOW, 2, 30)]


def test_a_setting_left_for_a_moment_goes_on_as_one_stretch() -> None:
    hands = Hands()
    hands.tally.plays(SLOW, 0)
    hands.seconds = 30
    hands.tally.plays(FAST, 2, is_midway=True)
    hands.seconds = 33
    hands.tally.plays(SLOW, 2, is_midway=True)
    hands.seconds = 40
    assert hands.told(3) == [(SLOW, 3, 40)]


def test_a_noted_stretch_is_gone_and_the_others_stay() -> None:
    hands = Hands()
    hands.tally.plays(SLOW, 0)
    hands.seconds = 30
    hands.tally.plays(FAST, 2)
    hands.seconds = 50
    fast, slow = hands.tally.stretches(3)
    hands.tally.noted(slow, 3)
    assert hands.told(3) == [(FAST, 1, 20)]
    hands.tally.noted(fast, 3)
    assert hands.told(3) == []
    hands.seconds = 60
    assert hands.told(4) == [(FAST, 1, 10)]


def test_of_a_time_through_that_was_noted_in_its_middle_nothing_is_told_twice() -> None:
    """The ladder's next step begins in the middle of it: it counts for neither."""
    hands = Hands()
    hands.tally.plays(SLOW, 0)
    hands.seconds = 30
    hands.tally.pauses()
    hands.tally.noted(hands.tally.stretches(2)[0], 2)
    hands.tally.plays(FAST, 2, is_midway=True)
    hands.seconds = 40
    assert hands.told(3) == [(FAST, 0, 10)]
    assert hands.told(4) == [(FAST, 1, 10)]


SETTINGS = st.sampled_from([SLOW, MIDDLE, FAST, SILENT, BARE])


@given(st.lists(st.tuples(SETTINGS, st.integers(1, 40), st.integers(0, 5))))
def test_no_second_and_no_time_through_is_counted_twice_or_lost(
    played: list[tuple[Setting, int, int]],
) -> None:
    """However the setting changes: all seconds are there, and no more times than were played."""
    hands, halves = Hands(), 0
    for setting, seconds, more in played:
        hands.tally.plays(setting, halves // 2, is_midway=halves % 2 == 1)
        hands.seconds += seconds
        halves += more
    passes = halves // 2
    found = hands.told(passes)
    assert sum(seconds for _, _, seconds in found) == hands.seconds
    assert sum(times for _, times, _ in found) <= passes
    ids = [one.id for one in hands.tally.stretches(passes)]
    assert len(ids) == len(set(ids))

"""What counts as a time through: whole ones, at the tempo and click they had from end to end."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

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
    return Tally(lambda: 0.0)


@pytest.mark.parametrize("harder", [FAST, SILENT, BARE])
def test_a_time_through_made_harder_counts_as_it_began_once_it_is_over(
    tally: Tally, harder: Setting
) -> None:
    tally.plays(SLOW, 0)
    tally.plays(harder, 2, is_midway=True)
    assert tally.went_through(2) == (SLOW, 2), "the third is not over yet"
    assert tally.went_through(3) == (SLOW, 3)
    assert tally.went_through(4) == (harder, 1)


def test_the_first_time_through_does_not_count_before_its_end(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.plays(FAST, 0, is_midway=True)
    assert tally.went_through(0) is None
    assert tally.went_through(1) == (SLOW, 1)


@pytest.mark.parametrize("easier", [SLOW, replace(FAST, layers=(*FAST.layers, Layer.BAR))])
def test_a_time_through_made_easier_counts_as_it_ended(tally: Tally, easier: Setting) -> None:
    tally.plays(FAST, 0)
    tally.plays(easier, 2, is_midway=True)
    assert tally.went_through(2) is None
    assert tally.went_through(3) == (easier, 1)


def test_silences_taken_away_make_it_easier(tally: Tally) -> None:
    tally.plays(SILENT, 0)
    tally.plays(SLOW, 1, is_midway=True)
    assert tally.went_through(2) == (SLOW, 1)


def test_bars_left_out_spoil_the_time_through_they_are_in_also_after_a_change(
    tally: Tally,
) -> None:
    tally.plays(FAST, 0)
    tally.skips(0)
    tally.plays(SLOW, 0, is_midway=True)
    assert tally.went_through(1) is None
    assert tally.went_through(2) == (SLOW, 1)


def test_who_plays_along_does_not_change_the_count(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    along = replace(SLOW, are_others_on=True)
    tally.plays(along, 2, is_midway=True)
    assert tally.went_through(3) == (along, 3)


def test_made_harder_twice_in_one_time_through_it_counts_as_it_began(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.plays(MIDDLE, 2, is_midway=True)
    tally.plays(FAST, 2, is_midway=True)
    assert tally.went_through(2) == (SLOW, 2)
    assert tally.went_through(3) == (SLOW, 3)
    assert tally.went_through(4) == (FAST, 1)


def test_made_harder_again_in_the_next_time_through_the_earlier_ones_stay(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.plays(MIDDLE, 2, is_midway=True)
    tally.plays(FAST, 3, is_midway=True)
    assert tally.went_through(3) == (SLOW, 3)
    assert tally.went_through(4) == (SLOW, 3), "the fourth began at another tempo"


def test_the_time_through_after_one_with_bars_left_out_counts_again(tally: Tally) -> None:
    tally.plays(SLOW, 0)
    tally.skips(1)
    assert tally.went_through(2) == (SLOW, 1), "the second was not whole"
    assert tally.went_through(3) == (SLOW, 2)


def test_a_new_track_that_counts_from_nothing_takes_none_of_the_old_ones_away(
    tally: Tally,
) -> None:
    tally.plays(SLOW, 0)
    tally.plays(FAST, 0, before=3)
    assert tally.went_through(0) == (SLOW, 3)
    assert tally.went_through(1) == (FAST, 1)


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
    assert after(10) == (40, 40)
    tally.pauses()
    tally.pauses()
    assert after(59) == (40, 40)
    tally.plays(FAST, 0)
    assert after(5) == (45, 45)
    tally.stops(0)
    assert after(60) == (45, 45)
    tally.plays(FAST, 0)
    assert after(5) == (50, 5), "a minute is a rest"
    tally.starts_again(0)
    assert after(3) == (3, 8), "noting an attempt is none"

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from companion.errors import RequestError
from companion.practice.entry import Activity
from companion.practice.timer import (
    Timer,
    elapsed,
    entry_lasting,
    entry_until,
    is_doubtful,
    is_left_behind,
    until_last_sign,
)

SIX = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
TIMER = Timer(what=Activity.LESSON, note="bow", started=SIX)


def after(minutes: float) -> datetime:
    return SIX + timedelta(minutes=minutes)


def test_a_timer_becomes_an_entry_of_its_own_length() -> None:
    entry = entry_until(TIMER, after(45))
    assert (entry.what, entry.seconds, entry.note) == (Activity.LESSON, 45 * 60, "bow")
    assert (entry.at, entry.id) == (after(45), TIMER.id)
    assert entry_until(TIMER, after(45), note="").note == ""


def test_a_timer_through_the_hour_that_comes_twice_counts_both() -> None:
    zone = ZoneInfo("Europe/Berlin")
    night = Timer(what=Activity.OTHER, started=datetime(2025, 10, 26, 2, 30, tzinfo=zone))
    end = datetime(2025, 10, 26, 2, 30, fold=1, tzinfo=zone)
    assert elapsed(night.started, end) == 3600
    assert entry_until(night, end.astimezone(UTC)).seconds == 3600


def test_a_clock_set_back_makes_no_negative_time() -> None:
    assert elapsed(SIX, after(-60)) == 0
    assert is_doubtful(TIMER, after(-60))
    with pytest.raises(RequestError, match="before that"):
        entry_until(TIMER, after(-60))
    entry = entry_lasting(TIMER, 20 * 60, after(-60))
    assert (entry.seconds, entry.at) == (20 * 60, SIX)


def test_a_length_given_later_does_not_end_in_the_future() -> None:
    assert entry_lasting(TIMER, 40 * 60, after(30)).at == after(30)
    assert entry_lasting(TIMER, 20 * 60, after(30)).at == after(20)


def test_a_timer_forgotten_over_night_is_doubted() -> None:
    assert not is_doubtful(TIMER, after(90))
    assert is_doubtful(TIMER, after(14 * 60))


def test_more_than_a_day_is_refused() -> None:
    with pytest.raises(RequestError, match="more than a day"):
        entry_until(TIMER, after(25 * 60))


def test_signs_of_life_that_stay_away_say_that_the_app_is_gone() -> None:
    app = replace(TIMER, signs_every=20.0, last_sign=after(10))
    assert not is_left_behind(app, after(10.5))
    assert is_left_behind(app, after(12))
    assert is_doubtful(app, after(12))
    assert not is_left_behind(TIMER, after(60)), "a command gives no signs and misses none"


def test_the_last_sign_of_life_is_where_a_crash_can_be_cut_off() -> None:
    assert until_last_sign(replace(TIMER, last_sign=after(10))) == after(10)
    assert until_last_sign(TIMER) == SIX
    assert until_last_sign(replace(TIMER, last_sign=after(-10))) == SIX

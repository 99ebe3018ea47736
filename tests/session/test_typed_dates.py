"""Times as they are typed; the zone is fixed, as on a wall."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, timezone

import pytest

from companion.errors import RequestError
from companion.practice.practice_day import practice_day
from companion.session.typed_dates import (
    day_to_come,
    day_typed,
    minutes_typed,
    moment_typed,
)

HERE = datetime(2026, 3, 1, 0, 40, tzinfo=timezone(timedelta(hours=1)))


def test_an_hour_alone_is_the_last_time_it_was_that_hour() -> None:
    assert moment_typed("0:30", HERE) == HERE - timedelta(minutes=10)
    assert moment_typed("23:50", HERE) == HERE - timedelta(minutes=50)


def test_a_day_alone_belongs_to_that_day() -> None:
    typed = moment_typed("2026-02-14")
    assert practice_day(typed).isoformat() == "2026-02-14"
    assert typed.utcoffset() is not None


def test_a_day_with_its_hour_may_bring_its_own_offset() -> None:
    assert moment_typed("2026-02-14T18:30-03:30").utcoffset() == timedelta(hours=-3, minutes=-30)
    assert moment_typed("2026-02-14 18:30").hour == 18


def test_minutes_may_have_a_fraction() -> None:
    assert minutes_typed("12.5") == 750


@pytest.mark.parametrize("text", ["", "0", "-5", "inf", "twenty", "1e9"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises(RequestError):
        minutes_typed(text)


@pytest.mark.parametrize("text", ["", "24:00", "noon", "2026-13-01", "0000-01-01", "9" * 40])
def test_what_is_no_time_is_refused(text: str) -> None:
    with pytest.raises(RequestError):
        moment_typed(text, HERE)
    with pytest.raises(RequestError):
        day_typed(text)


SATURDAY = date(2026, 2, 28)
EVENING = datetime.combine(SATURDAY, time(20)).astimezone()


@pytest.mark.parametrize(
    ("text", "days_ago", "hour"),
    [
        ("thursday", 2, "12:00"),
        ("Thu 18:20", 2, "18:20"),
        ("yesterday", 1, "12:00"),
        ("yesterday at 9:05", 1, "09:05"),
        ("today 18:20", 0, "18:20"),
        ("saturday 18:20", 0, "18:20"),
        ("saturday 21:00", 7, "21:00"),
        ("2026-02-28", 0, "12:00"),
    ],
)
def test_a_day_that_is_over_is_named_as_people_say_it(text: str, days_ago: int, hour: str) -> None:
    typed = moment_typed(text, EVENING)
    assert typed.date() == SATURDAY - timedelta(days=days_ago)
    assert f"{typed:%H:%M}" == hour


def test_today_before_noon_is_this_moment() -> None:
    morning = EVENING.replace(hour=9)
    assert moment_typed("today", morning) == morning


@pytest.mark.parametrize("text", ["tomorrow", "today 21:00", "2026-03-01", "2026-02-28 20:01"])
def test_what_is_still_to_come_was_not_practised(text: str) -> None:
    with pytest.raises(RequestError, match="is in the future"):
        moment_typed(text, EVENING)


def test_a_day_of_the_week_is_the_next_or_the_last() -> None:
    assert day_typed("thursday", SATURDAY) == date(2026, 3, 5)
    assert day_typed("Thu", SATURDAY, is_past=True) == date(2026, 2, 26)
    assert day_typed("saturday", SATURDAY) == SATURDAY
    assert day_typed("saturday", SATURDAY, is_past=True) == SATURDAY
    assert day_typed("tomorrow", SATURDAY) == date(2026, 3, 1)


def test_a_goal_is_not_for_a_day_that_is_over() -> None:
    assert day_to_come("today", SATURDAY) == SATURDAY
    with pytest.raises(RequestError, match="2026-02-27 comes too late"):
        day_to_come("yesterday", SATURDAY)


@pytest.mark.parametrize("text", ["0", "0.4", "-1", "1441", "none"])
def test_no_minutes_are_no_length_of_time(text: str) -> None:
    with pytest.raises(RequestError):
        minutes_typed(text)

"""Times as they are typed; the zone is fixed, as on a wall."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

import pytest

from companion.errors import RequestError
from companion.practice.practice_day import practice_day
from companion.session.typed_dates import day_typed, minutes_typed, moment_typed

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

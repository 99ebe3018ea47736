"""Days and minutes of practice.

The dates at which clocks change are from the zone database (IANA tzdata), through zoneinfo:
in 2025 Berlin went forward on 30 March and back on 26 October; Lord Howe Island goes by
half an hour; Samoa left out 30 December 2011.
"""

from __future__ import annotations

import zoneinfo
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.practice.entry import Activity, LogEntry
from companion.practice.practice_day import (
    DAY_ENDS,
    PracticeSpan,
    minutes_a_day,
    parse_day_end,
    practice_day,
    span_of,
)

BERLIN = ZoneInfo("Europe/Berlin")
ZONES = [
    *("Europe/Berlin", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia"),
    *("Africa/Casablanca", "Asia/Kathmandu"),
]
ENDS = st.times(max_value=time(11, 59)).map(lambda t: t.replace(second=0, microsecond=0))
INSTANTS = st.datetimes(datetime(2010, 1, 2), datetime(2030, 12, 30), timezones=st.just(UTC))


def span(end: datetime, minutes: float) -> PracticeSpan:
    return span_of(LogEntry(what=Activity.SCALES, seconds=minutes * 60, at=end))


def test_practice_past_midnight_belongs_to_the_evening() -> None:
    assert practice_day(datetime(2026, 3, 2, 1, 30, tzinfo=UTC)) == date(2026, 3, 1)
    assert practice_day(datetime(2026, 3, 2, 3, 59, 59, tzinfo=UTC)) == date(2026, 3, 1)
    assert practice_day(datetime(2026, 3, 2, 4, 0, tzinfo=UTC)) == date(2026, 3, 2)


def test_the_hour_at_which_the_day_ends_is_the_players() -> None:
    late = datetime(2026, 3, 2, 1, 30, tzinfo=UTC)
    assert practice_day(late, time(0)) == date(2026, 3, 2)
    assert practice_day(late, time(1, 30)) == date(2026, 3, 2)
    assert practice_day(late, time(1, 31)) == date(2026, 3, 1)


def test_a_day_is_told_by_the_wall_clock_where_it_was_played() -> None:
    abroad = datetime(2026, 7, 1, 23, 30, tzinfo=timezone(timedelta(hours=-5)))
    assert practice_day(abroad) == date(2026, 7, 1)
    assert practice_day(abroad.astimezone(BERLIN)) == date(2026, 7, 2)


def day_bounds(day: date, ends: time, zone: tzinfo) -> tuple[datetime, datetime]:
    """When a practice day begins and is over in a zone; 23 or 25 hours if clocks change."""
    return datetime.combine(day, ends, zone), datetime.combine(day + timedelta(1), ends, zone)


@given(INSTANTS, st.sampled_from(ZONES), ENDS)
def test_every_moment_lies_within_its_own_day(
    instant: datetime, zone_name: str, ends: time
) -> None:
    zone = ZoneInfo(zone_name)
    here = instant.astimezone(zone)
    # A wall clock that is turned back over the very hour the day ends shows that hour twice;
    # there its word counts (see practice_day). Everywhere else days are stretches of time.
    turned = [(here + timedelta(hours=step)).utcoffset() for step in range(-30, 31)]
    if len(set(turned)) == 1:
        begin, end = day_bounds(practice_day(here, ends), ends, zone)
        assert begin <= here < end


@given(INSTANTS, st.sampled_from(ZONES))
def test_days_that_end_at_four_are_told_alike_by_wall_clock_and_by_bounds(
    instant: datetime, zone_name: str
) -> None:
    zone = ZoneInfo(zone_name)
    here = instant.astimezone(zone)
    begin, end = day_bounds(practice_day(here), DAY_ENDS, zone)
    assert begin.astimezone(UTC) <= instant < end.astimezone(UTC)


def test_the_zone_database_has_the_zones_of_these_tests() -> None:
    assert set(ZONES) <= zoneinfo.available_timezones()


def test_practice_through_the_end_of_the_day_is_divided_there() -> None:
    night = span(datetime(2026, 3, 2, 4, 10, tzinfo=UTC), 30)
    assert minutes_a_day([night]) == {date(2026, 3, 1): 20, date(2026, 3, 2): 10}


def test_practice_through_the_night_the_clocks_go_back_loses_no_minute() -> None:
    # 00:30 to 04:30 on the wall, five hours in truth.
    morning = datetime(2025, 10, 26, 4, 30, tzinfo=BERLIN)
    long = PracticeSpan(morning.timestamp(), 3600, 5 * 3600)
    assert minutes_a_day([long]) == {date(2025, 10, 25): 270, date(2025, 10, 26): 30}


def test_attempts_inside_a_timer_are_counted_once() -> None:
    timer = span(datetime(2026, 3, 1, 19, 0, tzinfo=UTC), 60)
    attempts = [span(datetime(2026, 3, 1, 18, minute, tzinfo=UTC), 5) for minute in (10, 20, 59)]
    over_the_end = span(datetime(2026, 3, 1, 19, 4, tzinfo=UTC), 10)
    assert minutes_a_day([*attempts, timer, over_the_end]) == {date(2026, 3, 1): 64}


SPANS = st.lists(
    st.builds(
        PracticeSpan,
        st.integers(1_700_000_000, 1_700_400_000).map(float),
        st.sampled_from([0, 3600, -12600, 49500]),
        st.integers(0, 9000).map(float),
    ),
    max_size=12,
)


@given(SPANS)
def test_minutes_are_those_in_which_there_was_practice(spans: list[PracticeSpan]) -> None:
    # Checked against counting every second of the stretches in a set.
    seconds = {
        second for ended, _, length in spans for second in range(int(ended - length), int(ended))
    }
    counted = minutes_a_day(spans)
    assert sum(counted.values()) * 60 == pytest.approx(len(seconds))
    assert all(0 < minutes for minutes in counted.values())
    assert list(counted) == sorted(counted)
    assert minutes_a_day(spans[::-1]) == pytest.approx(counted)


@pytest.mark.parametrize(
    ("text", "ends"),
    [("4", time(4)), (" 3:30 ", time(3, 30)), ("0", time(0)), ("11:59", time(11, 59))],
)
def test_an_hour_of_the_night_can_be_set(text: str, ends: time) -> None:
    assert parse_day_end(text) == ends


@pytest.mark.parametrize(
    "text", ["", "12", "25", "-1", "3:60", "four", "3:3:3", "9" * 13, "9" * 5000]
)
def test_what_is_no_hour_of_the_night_is_refused(text: str) -> None:
    with pytest.raises(RequestError, match="not an hour"):
        parse_day_end(text)

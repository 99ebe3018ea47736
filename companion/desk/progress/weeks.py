"""Minutes of practice, week by week: attempts and free entries together."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from companion.desk.folders import Folders
from companion.journal.log import Log
from companion.practice.day import minutes_a_day, practice_day
from companion.practice.progress import Week, calendar

MOST = 156
"""Weeks that are shown at most: three years, which a long log still answers at once."""


def weeks_until(folders: Folders, at: datetime, count: int) -> list[Week]:
    """The last `count` weeks up to the one a moment lies in, the earliest first."""
    with Log.read_only(folders.data) as log:
        ends = log.day_ends
        today = practice_day(at, ends)
        first = monday_of(today) - timedelta(weeks=max(1, min(count, MOST)) - 1)
        since = datetime.combine(first, time(), at.tzinfo) - timedelta(days=1)
        minutes = minutes_a_day(log.spans(since=since), ends)
    return calendar(minutes, first, today)


def monday_of(day: date) -> date:
    """The Monday of a day's week (ISO 8601)."""
    return day - timedelta(days=day.weekday())

"""Passages and when they come back, for a calendar."""

from __future__ import annotations

from datetime import date, datetime

from companion.desk.bars_told import bars_told
from companion.desk.folders import Folders
from companion.desk.standings import all_standings
from companion.journal.log import Log
from companion.practice.day import practice_day
from companion.practice.due import Due
from companion.practice.pace import told
from companion.practice.standing import Standing


def returns_due(folders: Folders, at: datetime) -> list[Due]:
    """Every tried passage on the day it is planned for; what is overdue stands on today."""
    with Log.read_only(folders.data) as log:
        today = practice_day(at, log.day_ends)
    return [_due(one, today) for one in all_standings(folders) if one.last is not None]


def _due(one: Standing, today: date) -> Due:
    bars = one.bars
    printed = bars_told(bars.first, bars.last, one.label)
    where = " ".join(filter(None, (one.part_name or bars.part_id, printed)))
    day = max(today, date.fromordinal(one.planned))
    detail = f"Goal: {told(one.aims.goal, one.aims.beat)}" if one.aims.is_set else ""
    key = f"{bars.score_digest} {bars.part_id} {bars.first} {bars.last}"
    return Due(day, f"{where}, {one.title}" if one.title else where, detail, key)

"""The last days before a concert: nothing new, no tempo raised, and through without stopping."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from companion.practice.bars import Bars
from companion.practice.dates_told import count_told
from companion.practice.plan.habits import Habits
from companion.practice.plan.item import Item, Kind
from companion.practice.standing import Standing


def is_last_days(stands: Standing, today: date, habits: Habits) -> bool:
    """Whether the concert is so near that nothing new is begun and no tempo raised."""
    concert = stands.aims.concert
    return concert is not None and 0 <= concert - today.toordinal() <= habits.last_days


def run_throughs(standings: Sequence[Standing], today: date, habits: Habits) -> list[Item]:
    """For each part with a concert in the last days: from its first passage to its last."""
    parts: dict[tuple[str, str], list[Standing]] = {}
    for one in standings:
        if is_last_days(one, today, habits):
            parts.setdefault((one.bars.score_digest, one.bars.part_id), []).append(one)
    return [_run_through(found, today, habits) for found in parts.values()]


def _run_through(found: list[Standing], today: date, habits: Habits) -> Item:
    first = min(found, key=lambda one: one.bars.first)
    last = max(found, key=lambda one: one.bars.last)
    concert = max(one.aims.concert or 0 for one in found)
    left = concert - today.toordinal()
    bars = Bars(first.bars.score_digest, first.bars.part_id, first.bars.first, last.bars.last)
    return Item(
        kind=Kind.RUN_THROUGH,
        minutes=2 * habits.visit,
        why="once through without stopping: "
        + (f"{count_told(left, 'day')} to the concert" if left else "the concert is today"),
        bars=bars,
        title=first.title,
        part_name=first.part_name,
        label=f"{first.label.split('–')[0]}–{last.label.split('–')[-1]}",
        path=last.path or first.path,
    )

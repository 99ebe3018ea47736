"""What was planned and not played: worked out from plan and log, never kept by hand."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from msgspec.structs import replace

from companion.practice.bars import Bars
from companion.practice.plan.item import Item, Kind, Plan

FORGOTTEN_AFTER = 14
"""Days after which what was left undone is no longer carried over; its day of return
brings it back in any case (common practice, no source)."""


def undone(plan: Plan, played: Iterable[Bars]) -> tuple[Item, ...]:
    """The passages of an accepted plan that were not played, each once.

    `played` are the passages attempted on the plan's day or later. A passage counts as
    played when at least half of its bars were; one that was skipped is not in the plan.
    """
    if not plan.is_accepted:
        return ()
    tried = list(played)
    left: dict[Bars, Item] = {}
    for item in plan.items:
        bars = item.bars
        if bars is None or item.kind is Kind.RUN_THROUGH or bars in left:
            continue
        if not any(is_covered(bars, by) for by in tried):
            left[bars] = replace(item, planned_on=item.planned_on or plan.day)
    return tuple(left.values())


def is_covered(bars: Bars, by: Bars) -> bool:
    """Whether at least half of the bars were played with the others."""
    if (bars.score_digest, bars.part_id) != (by.score_digest, by.part_id):
        return False
    common = min(bars.last, by.last) - max(bars.first, by.first) + 1
    return 2 * common >= bars.last - bars.first + 1


def carried(plans: Iterable[Plan], played: Iterable[tuple[Bars, date]], today: date) -> list[Item]:
    """What earlier accepted plans left undone, the oldest first, each passage once.

    `played` are the passages with the last practice day on which each was attempted.
    """
    last = list(played)
    left: dict[Bars, Item] = {}
    for plan in sorted(plans, key=lambda one: one.day):
        day = date.fromisoformat(plan.day)
        if not day < today or (today - day).days > FORGOTTEN_AFTER:
            continue
        for item in undone(plan, (bars for bars, on in last if on >= day)):
            if item.bars is not None:
                left.setdefault(item.bars, item)
    return list(left.values())

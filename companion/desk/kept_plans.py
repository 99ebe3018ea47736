"""Plans that the player took in hand: one file a practice day, so that what is left undone
is known tomorrow.

A plan nobody touched is not kept: it is worked out anew each time, and owes nothing.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import msgspec

from companion.desk.folders import Folders
from companion.desk.kept_files import keep, kept
from companion.practice.plan.item import Plan
from companion.practice.plan.undone import FORGOTTEN_AFTER


def keep_plan(folders: Folders, plan: Plan) -> None:
    """Keep a plan for its day. Raises CompanionError where it cannot be written."""
    keep(_place(folders, date.fromisoformat(plan.day)), msgspec.json.encode(plan))


def plan_of(folders: Folders, day: date) -> Plan | None:
    """The plan kept for a day; None where there is none that can be read."""
    content = kept(_place(folders, day))
    if content is None:
        return None
    try:
        return msgspec.json.decode(content, type=Plan)
    except msgspec.MsgspecError:
        return None


def recent_plans(folders: Folders, today: date) -> list[Plan]:
    """The plans of the days before, as far back as anything is carried over."""
    days = (today - timedelta(days=back) for back in range(1, FORGOTTEN_AFTER + 1))
    return [plan for day in days if (plan := plan_of(folders, day)) is not None]


def _place(folders: Folders, day: date) -> Path:
    return folders.data / "plans" / f"{day.isoformat()}.json"

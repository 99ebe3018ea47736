"""Entries, goals and dates as rows of the log and back, with nothing rounded on the way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any, Generic, TypeVar

from companion.journal.row import Row, local_time, moment, writable
from companion.practice.bars import Bars
from companion.practice.entry import Activity, Entry
from companion.practice.goal import Goal
from companion.practice.occasion import Kind, Occasion
from companion.practice.said import Said

T = TypeVar("T")

SAYING = ("id", "stated_utc", "stated_offset", "withdrawn")
"""The columns that every saying has, before its own."""


@dataclass(frozen=True, slots=True)
class Form(Generic[T]):
    """How one kind of thing is kept."""

    table: str
    """Its table."""
    thing: tuple[str, ...]
    """The columns that say of which thing a row speaks."""
    columns: tuple[str, ...]
    """Its own columns, after `SAYING`."""
    order: tuple[str, ...]
    """How a list of them is ordered."""
    to_row: Callable[[T], Row]
    """A thing as its own columns."""
    from_row: Callable[[Mapping[str, Any], datetime], T]
    """The thing of a row, and when it was said. Raises RequestError, ValueError and the like."""


def saying(said: Said, is_withdrawn: bool) -> Row:
    """The columns of `SAYING`."""
    at = moment(said.at)
    return {
        "id": said.id,
        "stated_utc": at["at_utc"],
        "stated_offset": at["utc_offset"],
        "withdrawn": int(is_withdrawn),
    }


def _entry_to_row(entry: Entry) -> Row:
    return {
        "entry_id": entry.id,
        **moment(entry.at),
        "what": entry.what.value,
        "seconds": float(entry.seconds),
        "note": writable(entry.note),
    }


def _entry_from_row(row: Mapping[str, Any], stated: datetime) -> Entry:
    return Entry(
        id=row["entry_id"],
        at=local_time(row["at_utc"], row["utc_offset"]),
        what=Activity(row["what"]),
        seconds=row["seconds"],
        note=row["note"],
        is_withdrawn=bool(row["withdrawn"]),
        said=Said(stated, row["id"]),
    )


def _goal_to_row(goal: Goal) -> Row:
    return {
        "score_digest": goal.bars.score_digest,
        "part_id": writable(goal.bars.part_id),
        "first_bar": goal.bars.first,
        "last_bar": goal.bars.last,
        "score_title": writable(goal.score_title),
        "part_name": writable(goal.part_name),
        "bars_label": writable(goal.bars_label),
        "tempo": str(goal.tempo),
        "beat": writable(goal.beat),
        "occasion_id": goal.occasion,
    }


def _goal_from_row(row: Mapping[str, Any], stated: datetime) -> Goal:
    return Goal(
        bars=Bars(row["score_digest"], row["part_id"], row["first_bar"], row["last_bar"]),
        score_title=row["score_title"],
        part_name=row["part_name"],
        bars_label=row["bars_label"],
        tempo=Fraction(row["tempo"]),
        beat=row["beat"],
        occasion=row["occasion_id"],
        is_withdrawn=bool(row["withdrawn"]),
        said=Said(stated, row["id"]),
    )


def _occasion_to_row(occasion: Occasion) -> Row:
    return {
        "occasion_id": occasion.id,
        "kind": occasion.kind.value,
        "day": occasion.day.isoformat(),
        "name": writable(occasion.name),
        "score_digest": occasion.score_digest,
    }


def _occasion_from_row(row: Mapping[str, Any], stated: datetime) -> Occasion:
    return Occasion(
        id=row["occasion_id"],
        kind=Kind(row["kind"]),
        day=date.fromisoformat(row["day"]),
        name=row["name"],
        score_digest=row["score_digest"],
        is_withdrawn=bool(row["withdrawn"]),
        said=Said(stated, row["id"]),
    )


_PASSAGE = ("score_digest", "part_id", "first_bar", "last_bar")

ENTRY = Form(
    "entry",
    thing=("entry_id",),
    columns=("entry_id", "at_utc", "utc_offset", "what", "seconds", "note"),
    order=("at_utc DESC", "seq DESC"),
    to_row=_entry_to_row,
    from_row=_entry_from_row,
)
"""Free entries, newest first."""

GOAL = Form(
    "goal",
    thing=_PASSAGE,
    columns=(
        *_PASSAGE,
        *("score_title", "part_name", "bars_label", "tempo", "beat", "occasion_id"),
    ),
    order=_PASSAGE,
    to_row=_goal_to_row,
    from_row=_goal_from_row,
)
"""Goals, passage by passage."""

OCCASION = Form(
    "occasion",
    thing=("occasion_id",),
    columns=("occasion_id", "kind", "day", "name", "score_digest"),
    order=("day", "seq"),
    to_row=_occasion_to_row,
    from_row=_occasion_from_row,
)
"""Dates, the earliest first."""

"""An attempt as a row of the log and back, with nothing rounded on the way.

Tempo stays a fraction in words ("145/2"), never a binary float; time is UTC
text of one width beside the local offset, so that order and local day are both
still there years later.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any, Generic, TypeVar

from companion.errors import RequestError
from companion.journal.journal_error import JournalError
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import CorrectedWords, Correction, Revision

_PLAIN = (
    "id",
    "score_title",
    "score_digest",
    "score_path",
    "part_id",
    "part_name",
    "first_bar",
    "last_bar",
    "bars_label",
    "beat",
    "repetitions",
    "seconds",
    "note",
    "judgement",
)
"""Kept as they are."""

COLUMNS = (*_PLAIN, "at_utc", "utc_offset", "tempo", "layers", "outcome")
"""The columns of an attempt, in the order of `from_row`."""

CORRECTION_COLUMNS = (
    *("id", "at_utc", "utc_offset"),
    *("earlier_outcome", "earlier_note", "later_outcome", "later_note"),
)
"""The columns of a correction, in the order of `correction_from_row`."""

SqlRow = dict[str, str | int | float | None]
"""Named values for SQLite."""


def to_row(attempt: Attempt) -> SqlRow:
    """The attempt as named values for SQLite."""
    row: SqlRow = {name: getattr(attempt, name) for name in _PLAIN}
    row |= moment(attempt.at)
    row["seconds"] = float(attempt.seconds)
    row["tempo"] = str(attempt.tempo)
    row["layers"] = json.dumps(attempt.layers, ensure_ascii=False)
    row["outcome"] = attempt.outcome.value
    return {
        name: writable(value) if isinstance(value, str) else value for name, value in row.items()
    }


def from_row(values: tuple[Any, ...], path: Path) -> Attempt:
    """The attempt a row of `COLUMNS` stands for. Raises JournalError naming the row."""
    row = dict(zip(COLUMNS, values, strict=True))
    try:
        return Attempt(
            **{name: row[name] for name in _PLAIN},
            at=local_time(row["at_utc"], row["utc_offset"]),
            tempo=tempo_of_row(row["tempo"]),
            layers=_layers(row["layers"]),
            outcome=Outcome(row["outcome"]),
        )
    except (RequestError, ValueError, ArithmeticError) as fault:
        raise unreadable(f"{path}, attempt {row['id']}", fault) from fault


def correction_to_row(correction: Correction) -> SqlRow:
    """The correction as named values for SQLite."""
    return {
        "id": correction.said.id,
        **moment(correction.said.at),
        "earlier_outcome": correction.earlier.outcome.value,
        "earlier_note": writable(correction.earlier.note),
        "later_outcome": correction.later.outcome.value,
        "later_note": writable(correction.later.note),
    }


def correction_from_row(values: tuple[Any, ...], path: Path) -> Correction:
    """What a row of `CORRECTION_COLUMNS` stands for. Raises JournalError naming the row."""
    correction_id, at_utc, utc_offset, outcome, note, later_outcome, later_note = values
    try:
        return Correction(
            Revision(local_time(at_utc, utc_offset), correction_id),
            CorrectedWords(Outcome(outcome), note),
            CorrectedWords(Outcome(later_outcome), later_note),
        )
    except (ValueError, ArithmeticError) as fault:
        raise unreadable(f"{path}, correction {correction_id}", fault) from fault


def moment(at: datetime) -> SqlRow:
    """A time as the two columns that hold it; the offset in whole seconds east of UTC."""
    offset = at.utcoffset() or timedelta()
    in_utc = at.astimezone(UTC).replace(tzinfo=None)
    return {
        "at_utc": in_utc.isoformat(timespec="microseconds") + "Z",
        "utc_offset": int(offset.total_seconds()),
    }


def local_time(at_utc: str, utc_offset: int) -> datetime:
    """The inverse of `moment`. Raises ValueError or OverflowError."""
    return datetime.fromisoformat(at_utc).astimezone(timezone(timedelta(seconds=utc_offset)))


@lru_cache(maxsize=4096)
def tempo_of_row(text: str) -> Fraction:
    """A tempo from its words. Kept, because years of practice are at a few hundred tempos."""
    return Fraction(text)


def writable(text: str) -> str:
    """Text any database can hold; what is not Unicode in a file's name is written as escapes."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")


def unreadable(where: str, fault: Exception) -> JournalError:
    """What is said of a row that stands for nothing any more."""
    return JournalError(
        f"This entry cannot be read, so the file was changed by other means ({fault})",
        where=where,
        next="Keep a copy of the log as it is, and put the latest backup in its place.",
    )


def _layers(text: str) -> tuple[str, ...]:
    names = json.loads(text)
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise ValueError("its layers are no list of names")
    return tuple(names)


# Entries, goals and dates as rows of the log and back, with nothing rounded on the way.


T = TypeVar("T")

SAYING = ("id", "stated_utc", "stated_offset", "withdrawn")
"""The columns that every saying has, before its own."""


@dataclass(frozen=True, slots=True)
class RowForm(Generic[T]):
    """How one kind of thing is kept."""

    table: str
    """Its table."""
    thing: tuple[str, ...]
    """The columns that say of which thing a row speaks."""
    columns: tuple[str, ...]
    """Its own columns, after `SAYING`."""
    order: tuple[str, ...]
    """How a list of them is ordered."""
    to_row: Callable[[T], SqlRow]
    """A thing as its own columns."""
    from_row: Callable[[Mapping[str, Any], datetime], T]
    """The thing of a row, and when it was said. Raises RequestError, ValueError and the like."""


def revision_form(said: Revision, is_withdrawn: bool) -> SqlRow:
    """The columns of `SAYING`."""
    at = moment(said.at)
    return {
        "id": said.id,
        "stated_utc": at["at_utc"],
        "stated_offset": at["utc_offset"],
        "withdrawn": int(is_withdrawn),
    }


def _entry_to_row(entry: LogEntry) -> SqlRow:
    return {
        "entry_id": entry.id,
        **moment(entry.at),
        "what": entry.what.value,
        "seconds": float(entry.seconds),
        "note": writable(entry.note),
    }


def _entry_from_row(row: Mapping[str, Any], stated: datetime) -> LogEntry:
    return LogEntry(
        id=row["entry_id"],
        at=local_time(row["at_utc"], row["utc_offset"]),
        what=Activity(row["what"]),
        seconds=row["seconds"],
        note=row["note"],
        is_withdrawn=bool(row["withdrawn"]),
        said=Revision(stated, row["id"]),
    )


def _goal_to_row(goal: Goal) -> SqlRow:
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
        said=Revision(stated, row["id"]),
    )


def _occasion_to_row(occasion: Occasion) -> SqlRow:
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
        kind=OccasionKind(row["kind"]),
        day=date.fromisoformat(row["day"]),
        name=row["name"],
        score_digest=row["score_digest"],
        is_withdrawn=bool(row["withdrawn"]),
        said=Revision(stated, row["id"]),
    )


_PASSAGE = ("score_digest", "part_id", "first_bar", "last_bar")

ENTRY = RowForm(
    "entry",
    thing=("entry_id",),
    columns=("entry_id", "at_utc", "utc_offset", "what", "seconds", "note"),
    order=("at_utc DESC", "seq DESC"),
    to_row=_entry_to_row,
    from_row=_entry_from_row,
)
"""Free entries, newest first."""

GOAL = RowForm(
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

OCCASION = RowForm(
    "occasion",
    thing=("occasion_id",),
    columns=("occasion_id", "kind", "day", "name", "score_digest"),
    order=("day", "seq"),
    to_row=_occasion_to_row,
    from_row=_occasion_from_row,
)
"""Dates, the earliest first."""

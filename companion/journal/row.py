"""An attempt as a row of the log and back, with nothing rounded on the way.

Tempo stays a fraction in words ("145/2"), never a binary float; time is UTC
text of one width beside the local offset, so that order and local day are both
still there years later.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

from companion.errors import RequestError
from companion.journal.trouble import JournalError
from companion.practice.attempt import Attempt
from companion.practice.correction import Correction, Words
from companion.practice.outcome import Outcome
from companion.practice.said import Said

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

Row = dict[str, str | int | float | None]
"""Named values for SQLite."""


def to_row(attempt: Attempt) -> Row:
    """The attempt as named values for SQLite."""
    row: Row = {name: getattr(attempt, name) for name in _PLAIN}
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
            tempo=tempo_of(row["tempo"]),
            layers=_layers(row["layers"]),
            outcome=Outcome(row["outcome"]),
        )
    except (RequestError, ValueError, ArithmeticError) as fault:
        raise unreadable(f"{path}, attempt {row['id']}", fault) from fault


def correction_to_row(correction: Correction) -> Row:
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
            Said(local_time(at_utc, utc_offset), correction_id),
            Words(Outcome(outcome), note),
            Words(Outcome(later_outcome), later_note),
        )
    except (ValueError, ArithmeticError) as fault:
        raise unreadable(f"{path}, correction {correction_id}", fault) from fault


def moment(at: datetime) -> Row:
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
def tempo_of(text: str) -> Fraction:
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

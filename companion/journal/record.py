"""The record whole: everything in a log that is worth keeping, and its way out of the log.

Without the running timer and the settings, which belong to one machine, and without what
can be worked out again.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from companion.journal.attempt_queries import all_corrections, by_arrival
from companion.journal.history_tables import read
from companion.journal.rows import ENTRY, GOAL, OCCASION, SAYING, RowForm
from companion.journal.transaction import one_look
from companion.practice.attempt import Attempt
from companion.practice.edition import Edition
from companion.practice.entry import LogEntry
from companion.practice.goal import Goal, Occasion
from companion.practice.revision import Correction

T = TypeVar("T", LogEntry, Goal, Occasion)


@dataclass(frozen=True, slots=True)
class Corrected:
    """An attempt with all its corrections."""

    attempt: Attempt
    """As it is now."""
    corrections: tuple[Correction, ...] = ()
    """In the order of time."""


@dataclass(frozen=True, slots=True)
class Record:
    """A log's content, each list in the order in which things came into the log."""

    attempts: tuple[Corrected, ...] = ()
    """What was tried."""
    entries: tuple[LogEntry, ...] = ()
    """All that was said of free entries, the earlier sayings too."""
    goals: tuple[Goal, ...] = ()
    """The same of goals."""
    occasions: tuple[Occasion, ...] = ()
    """The same of dates."""
    editions: tuple[Edition, ...] = ()
    """Scores that took the place of others. They are kept beside the log, not in it, so
    nothing in this room fills or reads this; whoever writes or takes in a file does."""


def gather(log: sqlite3.Connection, path: Path) -> Record:
    """All of it as it stands at one moment, whoever writes meanwhile."""
    with one_look(log):
        corrections = all_corrections(log, path)
        return Record(
            tuple(
                Corrected(attempt, tuple(corrections.get(attempt.id, ())))
                for attempt in by_arrival(log, path)
            ),
            _all(log, path, ENTRY),
            _all(log, path, GOAL),
            _all(log, path, OCCASION),
        )


def _all(log: sqlite3.Connection, path: Path, form: RowForm[T]) -> tuple[T, ...]:
    columns = ", ".join((*SAYING, *form.columns))
    rows = log.execute(f"SELECT {columns} FROM {form.table} ORDER BY seq")
    return tuple(read(form, row, path) for row in rows)

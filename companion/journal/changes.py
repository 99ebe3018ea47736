"""How the log changes: an attempt is added or corrected, anything else is revised; the past stays.

Free entries, goals and dates each have a history table: a row is one revision, and the
latest revision of a thing holds, by time and then by identity. Whoever revises something
here does so later than all revisions of it here, even if the clock was set back; otherwise
a correction could lose against what it corrects.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any, Generic, TypeVar

from companion.errors import RequestError
from companion.journal.database import JournalError, in_a_sentence, transaction
from companion.journal.fields import ATTEMPT, CORRECTION, Form, SqlRow
from companion.journal.queries import corrections, find
from companion.journal.value_forms import writable
from companion.practice.attempt import Attempt, Outcome
from companion.practice.entry import LogEntry
from companion.practice.goal import Goal, Occasion
from companion.practice.revision import CorrectedWords, Correction, Revision, words_of

_CHANGE = "UPDATE attempt SET outcome = ?, note = ?, withdrawn = ? WHERE id = ?"


def add_attempt(log: sqlite3.Connection, path: Path, attempt: Attempt) -> None:
    """Writes the attempt down, once."""
    if not add_once(log, attempt):
        raise JournalError(
            f"Attempt {attempt.id} is already in the practice log",
            where=str(path),
            next="Nothing more needs to be done; to change it, correct it.",
        )


def add_once(log: sqlite3.Connection, attempt: Attempt) -> bool:
    """Writes the attempt down unless it is there; whether it was not.

    For trying again after a commit that failed: the disk may have taken it all the same.
    """
    row = ATTEMPT.to_row(attempt)
    with transaction(log):
        if log.execute("SELECT 1 FROM attempt WHERE id = ?", (attempt.id,)).fetchone():
            return False
        insert(log, "attempt", row)
        return True


def insert(log: sqlite3.Connection, table: str, row: SqlRow) -> None:
    """Writes a row, inside a transaction that is open already."""
    log.execute(_insertion(table, tuple(row)), row)


@lru_cache(maxsize=16)
def _insertion(table: str, columns: tuple[str, ...]) -> str:
    slots = ", ".join(f":{name}" for name in columns)
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({slots})"


def correct_attempt(
    log: sqlite3.Connection,
    path: Path,
    attempt_id: str,
    *,
    outcome: Outcome | None,
    note: str | None,
    is_withdrawn: bool | None,
    at: datetime,
) -> Attempt:
    """Changes what is not None, keeps what was there, and returns the attempt as it is now.

    A correction that changes nothing leaves no trace. One that is made while the clock
    stands before an earlier correction is dated just after that one, so that the order in
    which they were made is the order in which they are replayed.
    """
    with transaction(log):
        before = _known(log, path, attempt_id)
        earlier = words_of(before)
        later = CorrectedWords(
            before.outcome if outcome is None else outcome,
            before.note if note is None else writable(note),
            before.is_withdrawn if is_withdrawn is None else is_withdrawn,
        )
        if later != earlier:
            at = max([at, *(_after(one) for one in corrections(log, attempt_id))])
            revise(log, attempt_id, Correction(Revision(at), earlier, later))
            change_attempt(log, attempt_id, later)
        return _known(log, path, attempt_id)


def revise(log: sqlite3.Connection, attempt_id: str, correction: Correction) -> None:
    """Keeps a correction, inside a transaction that is open already."""
    insert(log, "revision", CORRECTION.to_row(correction) | {"attempt_id": attempt_id})


def change_attempt(log: sqlite3.Connection, attempt_id: str, words: CorrectedWords) -> None:
    """Lets the attempt say this, inside a transaction that is open already."""
    log.execute(_CHANGE, (words.outcome.value, words.note, words.is_withdrawn, attempt_id))


def _after(correction: Correction) -> datetime:
    return correction.revision.at + timedelta(microseconds=1)


def _known(log: sqlite3.Connection, path: Path, attempt_id: str) -> Attempt:
    attempt = find(log, path, attempt_id)
    if attempt is None:
        raise JournalError(
            f"There is no attempt {attempt_id} in the practice log",
            where=str(path),
            next="List the attempts to see which there are.",
        )
    return attempt


# Free entries, goals and dates.


T = TypeVar("T", LogEntry, Goal, Occasion)


@dataclass(frozen=True, slots=True)
class HistoryTable(Generic[T]):
    """One kind of thing in an open log. Every method raises JournalError as the log does."""

    log: sqlite3.Connection
    path: Path
    form: Form[T]

    def add(self, thing: T) -> T:
        """Writes down what holds from now on, and returns it as written; on disk on return."""
        with in_a_sentence(self.path), transaction(self.log):
            return add_revision(self.log, self.path, self.form, thing)

    def current(self, *, limit: int | None = None) -> list[T]:
        """What holds now, without what was taken back, in the table's own order."""
        if limit is not None and limit < 0:
            raise RequestError(f"A list cannot have {limit} lines", next="Ask for 0 or more.")
        with in_a_sentence(self.path):
            rows = self.log.execute(_current(self.form), (-1 if limit is None else limit,))
            return list(self.form.readable(rows))

    def history(self, *thing: str | int) -> list[T]:
        """All revisions of one thing (the values of the form's `same`), earliest first."""
        with in_a_sentence(self.path):
            return history(self.log, self.path, self.form, thing)


def _current(form: Form[T]) -> str:
    of_same = " AND ".join(f"later.{name} = one.{name}" for name in form.same)
    return (
        f"SELECT {', '.join(form.columns)} FROM {form.table} AS one"
        f" WHERE NOT EXISTS (SELECT 1 FROM {form.table} AS later WHERE {of_same}"
        " AND (later.stated_utc, later.id) > (one.stated_utc, one.id))"
        f" AND withdrawn = 0 ORDER BY {', '.join(form.order)} LIMIT ?"
    )


def add_revision(log: sqlite3.Connection, path: Path, form: Form[T], thing: T) -> T:
    """As `HistoryTable.add`, inside a transaction that is open already."""
    row = form.to_row(thing)
    before = history(log, path, form, tuple(row[name] for name in form.same))
    if before and before[-1].revision.at >= thing.revision.at:
        later = before[-1].revision.at + timedelta(microseconds=1)
        thing = replace(thing, revision=replace(thing.revision, at=later))
    if any(thing.revision.id == earlier.revision.id for earlier in before):
        raise JournalError(
            f"This is already in the practice log as {thing.revision.id}",
            where=str(path),
            next="Nothing more needs to be done.",
        )
    insert(log, form.table, form.to_row(thing))
    return thing


def history(log: sqlite3.Connection, path: Path, form: Form[T], thing: tuple[Any, ...]) -> list[T]:
    """All revisions of one thing, earliest first."""
    same = " AND ".join(f"{name} = ?" for name in form.same)
    asked = (
        f"SELECT {', '.join(form.columns)} FROM {form.table} WHERE {same} ORDER BY stated_utc, id"
    )
    return list(form.readable(log.execute(asked, thing)))

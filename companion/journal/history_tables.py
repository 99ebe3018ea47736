"""A book of the log: things that are said, and said again, and never overwritten.

Entries, goals and dates are all kept this way, so that one rule serves them all: the
latest saying of a thing holds, by time and then by identity. Whoever says something here
says it later than all that was said of it here before, even where the clock was set back;
otherwise a correction could lose against what it corrects.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Any, Generic, TypeVar

from companion.errors import RequestError
from companion.journal.journal_error import JournalError, in_a_sentence
from companion.journal.rows import SAYING, RowForm, SqlRow, local_time, revision_form, unreadable
from companion.journal.transaction import transaction
from companion.practice.entry import LogEntry
from companion.practice.goal import Goal, Occasion

T = TypeVar("T", LogEntry, Goal, Occasion)


@dataclass(frozen=True, slots=True)
class Book(Generic[T]):
    """One kind of thing in an open log. Every method raises JournalError as the log does."""

    log: sqlite3.Connection
    path: Path
    form: RowForm[T]

    def say(self, thing: T) -> T:
        """Writes down what holds from now on, and returns it as written; on disk on return."""
        with in_a_sentence(self.path), transaction(self.log):
            return say(self.log, self.path, self.form, thing)

    def now(self, *, limit: int | None = None) -> list[T]:
        """What holds now, without what was taken back, in the book's own order."""
        if limit is not None and limit < 0:
            raise RequestError(f"A list cannot have {limit} lines", next="Ask for 0 or more.")
        with in_a_sentence(self.path):
            rows = self.log.execute(_now(self.form), (-1 if limit is None else limit,))
            return [read(self.form, row, self.path) for row in rows]

    def history(self, *thing: str | int) -> list[T]:
        """All that was said of one thing (the values of the form's `thing`), earliest first."""
        with in_a_sentence(self.path):
            return history(self.log, self.path, self.form, thing)


def _now(form: RowForm[T]) -> str:
    of_same = " AND ".join(f"later.{name} = said.{name}" for name in form.thing)
    return (
        f"SELECT {', '.join((*SAYING, *form.columns))} FROM {form.table} AS said"
        f" WHERE NOT EXISTS (SELECT 1 FROM {form.table} AS later WHERE {of_same}"
        " AND (later.stated_utc, later.id) > (said.stated_utc, said.id))"
        f" AND withdrawn = 0 ORDER BY {', '.join(form.order)} LIMIT ?"
    )


def say(log: sqlite3.Connection, path: Path, form: RowForm[T], thing: T) -> T:
    """As `Book.say`, inside a transaction that is open already."""
    row = form.to_row(thing)
    before = history(log, path, form, tuple(row[name] for name in form.thing))
    if before and before[-1].said.at >= thing.said.at:
        later = before[-1].said.at + timedelta(microseconds=1)
        thing = replace(thing, said=replace(thing.said, at=later))
    if any(thing.said.id == earlier.said.id for earlier in before):
        raise JournalError(
            f"This is already in the practice log as {thing.said.id}",
            where=str(path),
            next="Nothing more needs to be done.",
        )
    add_revision(log, form, revision_form(thing.said, thing.is_withdrawn) | form.to_row(thing))
    return thing


def add_revision(log: sqlite3.Connection, form: RowForm[T], row: SqlRow) -> None:
    """Writes a row of the form's table, inside a transaction that is open already."""
    names = (*SAYING, *form.columns)
    slots = ", ".join(f":{name}" for name in names)
    log.execute(f"INSERT INTO {form.table} ({', '.join(names)}) VALUES ({slots})", row)


def history(
    log: sqlite3.Connection, path: Path, form: RowForm[T], thing: tuple[Any, ...]
) -> list[T]:
    """All that was said of one thing, earliest first."""
    same = " AND ".join(f"{name} = ?" for name in form.thing)
    asked = (
        f"SELECT {', '.join((*SAYING, *form.columns))} FROM {form.table}"
        f" WHERE {same} ORDER BY stated_utc, id"
    )
    return [read(form, row, path) for row in log.execute(asked, thing)]


def read(form: RowForm[T], values: tuple[Any, ...], path: Path) -> T:
    """What a row of `SAYING` and the form's columns stands for. Raises JournalError naming it."""
    row = dict(zip((*SAYING, *form.columns), values, strict=True))
    try:
        at = local_time(row["stated_utc"], row["stated_offset"])
        return form.from_row(row, at)
    except (RequestError, ValueError, ArithmeticError) as fault:
        raise unreadable(f"{path}, {form.table} {row['id']}", fault) from fault

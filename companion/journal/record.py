"""The record whole: everything in a log that is worth keeping, gathered here and joined there.

Without the running timer and the settings, which belong to one machine, and without what
can be worked out again.

Everything has an identity drawn at random once, so joining is a union: what is here
already stays, what is not comes in, and an attempt says what its corrections make of it.
Joining the same record again changes nothing, and two logs joined either way say the
same. All of it is one transaction. A record that contradicts the log about something
nobody corrected was changed by other means, and is refused whole.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, TypeVar

from companion.journal.changes import change_attempt, insert, revise
from companion.journal.database import JournalError, snapshot, transaction
from companion.journal.fields import ATTEMPT, ENTRY, GOAL, OCCASION, Form, SqlRow
from companion.journal.queries import all_corrections, by_arrival, find
from companion.practice.attempt import Attempt
from companion.practice.edition import Edition
from companion.practice.entry import LogEntry
from companion.practice.goal import Goal, Occasion
from companion.practice.revision import Correction, original, replayed, words_of

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
    entries: tuple[LogEntry, ...] = ()
    """All revisions of free entries."""
    goals: tuple[Goal, ...] = ()
    """The same of goals."""
    occasions: tuple[Occasion, ...] = ()
    """The same of dates."""
    editions: tuple[Edition, ...] = ()
    """Scores that took the place of others. They are kept next to the log, not in it, so
    nothing in this package fills or reads this; `log_exchange` does."""


def gather(log: sqlite3.Connection) -> Record:
    """All of it as it stands at one moment, even if another program writes meanwhile."""
    with snapshot(log):
        corrections = all_corrections(log)
        return Record(
            tuple(_with(corrections.get(one.id, []), one) for one in by_arrival(log)),
            _all(log, ENTRY),
            _all(log, GOAL),
            _all(log, OCCASION),
        )


def _with(corrections: Sequence[Correction], attempt: Attempt) -> Corrected:
    words = words_of(attempt)
    # Where one of them cannot be read the others lead elsewhere, and none would be believed.
    holds = replayed(words, corrections) == words
    return Corrected(attempt, tuple(corrections) if holds else ())


def _all(log: sqlite3.Connection, form: Form[T]) -> tuple[T, ...]:
    columns = ", ".join(form.columns)
    rows = log.execute(f"SELECT {columns} FROM {form.table} ORDER BY seq")
    return tuple(form.readable(rows))


# Joining a record to a log, without loss and without doubles.


@dataclass(frozen=True, slots=True)
class Merged:
    """What was new to the log."""

    attempts: int = 0
    corrections: int = 0
    entries: int = 0
    """Revisions of free entries."""
    goals: int = 0
    """Revisions of goals."""
    occasions: int = 0
    """Revisions of dates."""


def merge(log: sqlite3.Connection, path: Path, record: Record) -> Merged:
    """Joins the record to the log, all of it or nothing. Raises JournalError."""
    rows = [ATTEMPT.to_row(one.attempt) for one in record.attempts]  # before others have to wait
    with transaction(log):
        known = all_corrections(log)
        revised = {one.revision.id for corrections in known.values() for one in corrections}
        attempts = corrections = 0
        for one, row in zip(record.attempts, rows, strict=True):
            here = _here(log, row)
            if here is None:
                insert(log, "attempt", row)
                attempts += 1
            elif here != tuple(row.values()) or one.corrections:
                _join(log, path, one, known.get(one.attempt.id, []))
            corrections += _revise(log, path, one, known.get(one.attempt.id, []), revised)
        return Merged(
            attempts=attempts,
            corrections=corrections,
            entries=sum(_add(log, path, ENTRY, one) for one in record.entries),
            goals=sum(_add(log, path, GOAL, one) for one in record.goals),
            occasions=sum(_add(log, path, OCCASION, one) for one in record.occasions),
        )


def _here(log: sqlite3.Connection, row: SqlRow) -> tuple[Any, ...] | None:
    """The row of the same attempt in this log, its columns in the same order."""
    asked = f"SELECT {', '.join(row)} FROM attempt WHERE id = ?"
    found: tuple[Any, ...] | None = log.execute(asked, (row["id"],)).fetchone()
    return found


def _join(log: sqlite3.Connection, path: Path, come: Corrected, known: list[Correction]) -> None:
    """Lets an attempt that is here say what its corrections here and there make of it."""
    here = find(log, path, come.attempt.id)
    if here is None or _first_said(here, known) != _first_said(come.attempt, come.corrections):
        raise contradiction(path, f"attempt {come.attempt.id}")
    words = replayed(words_of(here), [*known, *come.corrections])
    if words != words_of(here):
        change_attempt(log, here.id, words)


def _revise(
    log: sqlite3.Connection,
    path: Path,
    come: Corrected,
    known: list[Correction],
    revised: set[str],
) -> int:
    """Keeps the corrections that are new here; how many those are."""
    new = [one for one in come.corrections if one not in known]
    for one in new:
        if one.revision.id in revised:
            raise contradiction(path, f"correction {one.revision.id}")
        revised.add(one.revision.id)
        revise(log, come.attempt.id, one)
    return len(new)


def _first_said(attempt: Attempt, known: Sequence[Correction]) -> object:
    """The attempt as it was noted, in a form in which two copies of it are equal."""
    words = original(words_of(attempt), known)
    judged = None if attempt.judgement is None else json.loads(attempt.judgement)
    first = replace(
        attempt,
        outcome=words.outcome,
        note=words.note,
        is_withdrawn=words.is_withdrawn,
        judgement=None,
    )
    return ATTEMPT.to_row(first), judged


def _add(log: sqlite3.Connection, path: Path, form: Form[T], thing: T) -> bool:
    """Whether the revision was new."""
    asked = f"SELECT {', '.join(form.columns)} FROM {form.table} WHERE id = ?"
    row = log.execute(asked, (thing.revision.id,)).fetchone()
    if row is None:
        insert(log, form.table, form.to_row(thing))
    elif form.to_row(form.from_row(row, path)) != form.to_row(thing):
        raise contradiction(path, f"{form.table} {thing.revision.id}")
    return row is None


def contradiction(path: Path, what: str) -> JournalError:
    """The refusal of a record that says something else about the same thing."""
    return JournalError(
        f"What is to be joined says something else about {what} than this log does, and no"
        " correction accounts for it; so nothing was taken in",
        where=str(path),
        next="One of the two was changed by other means; look at that entry in both.",
    )

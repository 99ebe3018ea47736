"""Joining a record to a log, without loss and without doubles.

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

from companion.journal.attempt_queries import all_corrections, find
from companion.journal.changes import change_attempt, insert_attempt, revise
from companion.journal.history_tables import add_revision, read
from companion.journal.journal_error import JournalError
from companion.journal.record import Corrected, Record
from companion.journal.rows import (
    ENTRY,
    GOAL,
    OCCASION,
    SAYING,
    RowForm,
    SqlRow,
    revision_form,
    to_row,
)
from companion.journal.transaction import transaction
from companion.practice.attempt import Attempt
from companion.practice.entry import LogEntry
from companion.practice.goal import Goal, Occasion
from companion.practice.revision import CorrectedWords, Correction, original, replayed

T = TypeVar("T", LogEntry, Goal, Occasion)


@dataclass(frozen=True, slots=True)
class Merged:
    """What was new to the log."""

    attempts: int = 0
    """Attempts."""
    corrections: int = 0
    """Corrections of attempts."""
    entries: int = 0
    """Sayings of free entries."""
    goals: int = 0
    """Sayings of goals."""
    occasions: int = 0
    """Sayings of dates."""


def merge(log: sqlite3.Connection, path: Path, record: Record) -> Merged:
    """Joins the record to the log, all of it or nothing. Raises JournalError."""
    rows = [to_row(one.attempt) for one in record.attempts]  # before others have to wait
    with transaction(log):
        known = all_corrections(log, path)
        revised = {one.said.id for corrections in known.values() for one in corrections}
        attempts = corrections = 0
        for one, row in zip(record.attempts, rows, strict=True):
            here = _here(log, row)
            if here is None:
                insert_attempt(log, row)
                attempts += 1
            elif here != tuple(row.values()) or one.corrections:
                _join(log, path, one, known.get(one.attempt.id, []))
            corrections += _revise(log, path, one, known.get(one.attempt.id, []), revised)
        return Merged(
            attempts=attempts,
            corrections=corrections,
            entries=sum(_saying(log, path, ENTRY, one) for one in record.entries),
            goals=sum(_saying(log, path, GOAL, one) for one in record.goals),
            occasions=sum(_saying(log, path, OCCASION, one) for one in record.occasions),
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
    words = replayed(_words(here), [*known, *come.corrections])
    if words != _words(here):
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
        if one.said.id in revised:
            raise contradiction(path, f"correction {one.said.id}")
        revised.add(one.said.id)
        revise(log, come.attempt.id, one)
    return len(new)


def _words(attempt: Attempt) -> CorrectedWords:
    return CorrectedWords(attempt.outcome, attempt.note)


def _first_said(attempt: Attempt, known: Sequence[Correction]) -> object:
    """The attempt as it was noted, in a form in which two copies of it are equal."""
    words = original(_words(attempt), known)
    judged = None if attempt.judgement is None else json.loads(attempt.judgement)
    first = replace(attempt, outcome=words.outcome, note=words.note, judgement=None)
    return to_row(first), judged


def _saying(log: sqlite3.Connection, path: Path, form: RowForm[T], thing: T) -> bool:
    """Whether the saying was new."""
    columns = ", ".join((*SAYING, *form.columns))
    asked = f"SELECT {columns} FROM {form.table} WHERE id = ?"
    row = log.execute(asked, (thing.said.id,)).fetchone()
    if row is None:
        add_revision(log, form, _row(form, thing))
        return True
    here = read(form, row, path)
    if _row(form, here) != _row(form, thing):
        raise contradiction(path, f"{form.table} {thing.said.id}")
    return False


def _row(form: RowForm[T], thing: T) -> SqlRow:
    return revision_form(thing.said, thing.is_withdrawn) | form.to_row(thing)


def contradiction(path: Path, what: str) -> JournalError:
    """The refusal of a record that says something else about the same thing."""
    return JournalError(
        f"What is to be joined says something else about {what} than this log does, and no"
        " correction accounts for it; so nothing was taken in",
        where=str(path),
        next="One of the two was changed by other means; look at that entry in both.",
    )

"""The two ways the log changes: an attempt is added, or one is corrected with its past kept."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta
from pathlib import Path

from companion.journal.attempt_queries import corrections, find
from companion.journal.journal_error import JournalError
from companion.journal.rows import (
    COLUMNS,
    CORRECTION_COLUMNS,
    SqlRow,
    correction_to_row,
    to_row,
    writable,
)
from companion.journal.transaction import transaction
from companion.practice.attempt import Attempt, Outcome
from companion.practice.revision import CorrectedWords, Correction, Revision

_ADD = f"INSERT INTO attempt ({', '.join(COLUMNS)}) VALUES ({', '.join(f':{c}' for c in COLUMNS)})"
_CORRECTED = (*CORRECTION_COLUMNS, "attempt_id")
_REVISE = (
    f"INSERT INTO revision ({', '.join(_CORRECTED)})"
    f" VALUES ({', '.join(f':{c}' for c in _CORRECTED)})"
)
_CHANGE = "UPDATE attempt SET outcome = ?, note = ? WHERE id = ?"


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
    row = to_row(attempt)
    with transaction(log):
        if log.execute("SELECT 1 FROM attempt WHERE id = ?", (attempt.id,)).fetchone():
            return False
        insert_attempt(log, row)
        return True


def insert_attempt(log: sqlite3.Connection, row: SqlRow) -> None:
    """An attempt's row, inside a transaction that is open already."""
    log.execute(_ADD, row)


def correct_attempt(
    log: sqlite3.Connection,
    path: Path,
    attempt_id: str,
    *,
    outcome: Outcome | None,
    note: str | None,
    at: datetime,
) -> Attempt:
    """Changes the outcome or the note, keeps what was there, and returns the attempt as it is now.

    A correction that changes nothing leaves no trace. One that is made while the clock
    stands before an earlier correction is dated just after that one, so that the order in
    which they were made is the order in which they are replayed.
    """
    with transaction(log):
        before = _known(log, path, attempt_id)
        earlier = CorrectedWords(before.outcome, before.note)
        later = CorrectedWords(
            before.outcome if outcome is None else outcome,
            before.note if note is None else writable(note),
        )
        if later != earlier:
            at = max([at, *(_after(one) for one in corrections(log, path, attempt_id))])
            revise(log, attempt_id, Correction(Revision(at), earlier, later))
            change_attempt(log, attempt_id, later)
        return _known(log, path, attempt_id)


def revise(log: sqlite3.Connection, attempt_id: str, correction: Correction) -> None:
    """Keeps a correction, inside a transaction that is open already."""
    log.execute(_REVISE, correction_to_row(correction) | {"attempt_id": attempt_id})


def change_attempt(log: sqlite3.Connection, attempt_id: str, words: CorrectedWords) -> None:
    """Lets the attempt say this, inside a transaction that is open already."""
    log.execute(_CHANGE, (words.outcome.value, words.note, attempt_id))


def _after(correction: Correction) -> datetime:
    return correction.said.at + timedelta(microseconds=1)


def _known(log: sqlite3.Connection, path: Path, attempt_id: str) -> Attempt:
    attempt = find(log, path, attempt_id)
    if attempt is None:
        raise JournalError(
            f"There is no attempt {attempt_id} in the practice log",
            where=str(path),
            next="List the attempts to see which there are.",
        )
    return attempt

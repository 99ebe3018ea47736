"""The two ways the log changes: an attempt is added, or one is corrected with its past kept."""

from __future__ import annotations

import sqlite3
from datetime import datetime
from pathlib import Path

from companion.journal.reading import find
from companion.journal.row import COLUMNS, moment, to_row, writable
from companion.journal.transaction import transaction
from companion.journal.trouble import JournalError
from companion.practice.attempt import Attempt, new_id
from companion.practice.outcome import Outcome

_ADD = f"INSERT INTO attempt ({', '.join(COLUMNS)}) VALUES ({', '.join(f':{c}' for c in COLUMNS)})"
_REVISE = (
    "INSERT INTO revision (id, attempt_id, at_utc, utc_offset,"
    " earlier_outcome, earlier_note, later_outcome, later_note)"
    " VALUES (:id, :attempt_id, :at_utc, :utc_offset,"
    " :earlier_outcome, :earlier_note, :later_outcome, :later_note)"
)
_CHANGE = "UPDATE attempt SET outcome = :later_outcome, note = :later_note WHERE id = :attempt_id"


def add(log: sqlite3.Connection, path: Path, attempt: Attempt) -> None:
    """Writes the attempt down, once."""
    row = to_row(attempt)
    with transaction(log):
        if log.execute("SELECT 1 FROM attempt WHERE id = ?", (attempt.id,)).fetchone():
            raise JournalError(
                f"Attempt {attempt.id} is already in the practice log",
                where=str(path),
                next="Nothing more needs to be done; to change it, correct it.",
            )
        log.execute(_ADD, row)


def correct(
    log: sqlite3.Connection,
    path: Path,
    attempt_id: str,
    *,
    outcome: Outcome | None,
    note: str | None,
    at: datetime,
) -> Attempt:
    """Changes the outcome or the note, keeps what was there, and returns the attempt as it is now.

    A correction that changes nothing leaves no revision.
    """
    with transaction(log):
        before = _known(log, path, attempt_id)
        earlier = {"earlier_outcome": before.outcome.value, "earlier_note": before.note}
        later = {
            "later_outcome": before.outcome.value if outcome is None else outcome.value,
            "later_note": before.note if note is None else writable(note),
        }
        if list(earlier.values()) != list(later.values()):
            change = {"attempt_id": attempt_id, **later}
            log.execute(_REVISE, {"id": new_id(), **moment(at), **earlier, **change})
            log.execute(_CHANGE, change)
        return _known(log, path, attempt_id)


def _known(log: sqlite3.Connection, path: Path, attempt_id: str) -> Attempt:
    attempt = find(log, path, attempt_id)
    if attempt is None:
        raise JournalError(
            f"There is no attempt {attempt_id} in the practice log",
            where=str(path),
            next="List the attempts to see which there are.",
        )
    return attempt

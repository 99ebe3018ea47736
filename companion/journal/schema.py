"""The tables of the practice log, as numbered steps that are never edited again.

A log written today is opened years from now: every form it ever had is a step
here, each one transaction with its `user_version`, so that a log is always in
one whole form. Steps are plain text, not made from today's Python names, which
may change. Attempts and revisions know each other by UUID, so that the logs of
two machines can be joined row by row; `seq` is only the order of arrival here.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from companion.journal.journal_error import JournalError
from companion.journal.schema_migration import SECOND
from companion.journal.transaction import transaction

SchemaStep = tuple[str, ...]
"""The statements that lead from one form of the log to the next."""

APPLICATION_ID = 0x50726163
"""Marks the file as a practice log ("Prac" in ASCII) among SQLite files."""

_FIRST: SchemaStep = (
    f"PRAGMA application_id = {APPLICATION_ID}",
    """CREATE TABLE outcome (
        word TEXT NOT NULL PRIMARY KEY,
        rank INTEGER NOT NULL UNIQUE
    ) STRICT, WITHOUT ROWID""",
    "INSERT INTO outcome VALUES ('fell apart', 1), ('shaky', 2), ('held', 3), ('secure', 4)",
    # at_utc has one width, so text order is time order; utc_offset is seconds east:
    # date(at_utc, utc_offset || ' seconds') is the player's day.
    # tempo is a fraction in lowest terms: '72', '145/2'. layers is a JSON list of names.
    """CREATE TABLE attempt (
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
        at_utc TEXT NOT NULL CHECK (at_utc GLOB '????-??-??T??:??:??.??????Z'),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        score_title TEXT NOT NULL,
        score_digest TEXT NOT NULL CHECK (score_digest GLOB '[0-9a-f]*'),
        score_path TEXT NOT NULL,
        part_id TEXT NOT NULL CHECK (part_id <> ''),
        part_name TEXT NOT NULL,
        first_bar INTEGER NOT NULL CHECK (first_bar >= 1),
        last_bar INTEGER NOT NULL CHECK (last_bar >= first_bar),
        bars_label TEXT NOT NULL,
        tempo TEXT NOT NULL CHECK (tempo GLOB '[1-9]*' AND NOT tempo GLOB '*[^0-9/]*'),
        beat TEXT NOT NULL CHECK (beat <> ''),
        layers TEXT NOT NULL CHECK (layers GLOB '[[]*]'),
        repetitions INTEGER NOT NULL CHECK (repetitions >= 0),
        seconds REAL NOT NULL CHECK (seconds >= 0),
        outcome TEXT NOT NULL REFERENCES outcome (word),
        note TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX attempt_by_time ON attempt (at_utc)",
    "CREATE INDEX attempt_by_passage"
    " ON attempt (score_digest, part_id, first_bar, last_bar, at_utc)",
    # What an attempt said before a correction, and what it said after: with both,
    # corrections made on two machines can be put in order and replayed.
    """CREATE TABLE revision (
        seq INTEGER PRIMARY KEY,
        id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
        attempt_id TEXT NOT NULL REFERENCES attempt (id),
        at_utc TEXT NOT NULL CHECK (at_utc GLOB '????-??-??T??:??:??.??????Z'),
        utc_offset INTEGER NOT NULL CHECK (abs(utc_offset) < 86400),
        earlier_outcome TEXT NOT NULL REFERENCES outcome (word),
        earlier_note TEXT NOT NULL,
        later_outcome TEXT NOT NULL REFERENCES outcome (word),
        later_note TEXT NOT NULL
    ) STRICT""",
    "CREATE INDEX revision_by_attempt ON revision (attempt_id)",
)

STEPS: tuple[SchemaStep, ...] = (_FIRST, SECOND)
"""Step n leads to version n. New ones are added at the end."""


def version(connection: sqlite3.Connection) -> int:
    """The form the log is in; 0 before the first step."""
    number: int = connection.execute("PRAGMA user_version").fetchone()[0]
    return number


def has_tables(connection: sqlite3.Connection) -> bool:
    """Whether anything has been laid out in the file."""
    found: int = connection.execute("SELECT EXISTS (SELECT 1 FROM sqlite_schema)").fetchone()[0]
    return bool(found)


def bring_up_to_date(
    connection: sqlite3.Connection, path: Path, steps: tuple[SchemaStep, ...] = STEPS
) -> None:
    """Takes the log through the steps it has not seen, each in one transaction.

    Raises JournalError, the file untouched, for a log from a newer version and
    for another program's database.
    """
    refuse_newer(version(connection), path, newest=len(steps))
    while version(connection) < len(steps):
        with transaction(connection):
            _take_next_step(connection, path, steps)


def _take_next_step(
    connection: sqlite3.Connection, path: Path, steps: tuple[SchemaStep, ...]
) -> None:
    done = version(connection)
    if done >= len(steps):  # another process took it while this one waited for the pen
        return
    if done == 0 and has_tables(connection):
        raise stranger(path)
    for statement in steps[done]:
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {done + 1}")


def refuse_newer(found: int, path: Path, newest: int = len(STEPS)) -> None:
    """Raises JournalError when version `found` is beyond what this program knows."""
    if found > newest:
        raise JournalError(
            f"This practice log was written by a newer companion (form {found} of the log;"
            f" this one knows up to {newest}), and is left as it is",
            where=str(path),
            next="Bring companion up to date here, or choose another folder.",
        )


def stranger(path: Path) -> JournalError:
    """The refusal of a file that is something else."""
    return JournalError(
        "This is not a practice log, and is left as it is",
        where=str(path),
        next="Move it elsewhere, or choose another folder.",
    )

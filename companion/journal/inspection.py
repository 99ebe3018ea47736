"""Whether the log is whole: its pages, its ties between tables, and every entry in it."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

from companion.journal.row import COLUMNS, REVISION_COLUMNS, from_row, revision_from_row
from companion.journal.trouble import JournalError, in_a_sentence


def problems(log: sqlite3.Connection, path: Path) -> list[str]:
    """A sentence for each thing wrong; none when the log is whole."""
    found: list[str] = []
    for look in (_pages, _ties, _entries):
        try:
            with in_a_sentence(path):
                found += look(log, path)
        except JournalError as fault:  # too damaged to be looked through
            found.append(fault.sentence())
    return found


def _pages(log: sqlite3.Connection, path: Path) -> list[str]:
    said = [" ".join(words.split()) for (words,) in log.execute("PRAGMA integrity_check")]
    return [f"{path}: The file is damaged: {words}." for words in said if words != "ok"]


def _ties(log: sqlite3.Connection, path: Path) -> list[str]:
    return [
        f"{path}: Row {row} of {table} speaks of a row of {other} that is not there."
        for table, row, other, _ in log.execute("PRAGMA foreign_key_check")
    ]


def _entries(log: sqlite3.Connection, path: Path) -> list[str]:
    attempts = log.execute(f"SELECT {', '.join(COLUMNS)} FROM attempt ORDER BY seq")
    revisions = log.execute(f"SELECT {', '.join(REVISION_COLUMNS)} FROM revision ORDER BY seq")
    faults = (
        *(_fault(from_row, row, path) for row in attempts),
        *(_fault(revision_from_row, row, path) for row in revisions),
    )
    return [fault for fault in faults if fault]


def _fault(
    read: Callable[[tuple[Any, ...], Path], object], row: tuple[Any, ...], path: Path
) -> str:
    try:
        read(row, path)
    except JournalError as fault:
        return fault.sentence()
    return ""

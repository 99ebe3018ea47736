"""SQLite as the log uses it: all-or-nothing changes, and its faults said so a player can act.

A full disk or a second program must not show as a database's error text, nor
pass in silence: an attempt that could not be written is named as not written.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import msgspec

from companion.errors import CompanionError


class JournalError(CompanionError):
    """The practice log cannot be read or written; what it held before is unchanged."""


_LEAST = 64 * 1024
"""Bytes: the shared index next to a log takes 32 KiB at a time."""

_HELD = (
    "Another program is holding the practice log, so nothing was written",
    "Close the log there, then do this again.",
)
_BARRED = (
    "The practice log cannot be opened or written here",
    "Check that its folder and files may be read and written, or choose another folder.",
)
_BROKEN = (
    "The practice log is damaged",
    "Put the latest backup in its place: companion log restore FILE keeps what is there now.",
)
_FULL = (
    "There is no room left for the practice log, so nothing was written",
    "Make room on the disk, then do this again.",
)
_SENTENCES: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_BUSY: _HELD,
    sqlite3.SQLITE_LOCKED: _HELD,
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_IOERR: (
        "The disk refused the practice log, so nothing was written",
        "Check the disk and the room left on it, then do this again.",
    ),
    sqlite3.SQLITE_CANTOPEN: _BARRED,
    sqlite3.SQLITE_READONLY: _BARRED,
    sqlite3.SQLITE_PERM: _BARRED,
    sqlite3.SQLITE_AUTH: _BARRED,
    sqlite3.SQLITE_CORRUPT: _BROKEN,
    sqlite3.SQLITE_NOTADB: (
        "This is not a practice log, or its beginning is damaged; it is left as it is",
        "Move it elsewhere, or choose another folder.",
    ),
}


@contextmanager
def in_a_sentence(path: Path) -> Iterator[None]:
    """Turns what SQLite or the system says about `path` into a JournalError."""
    try:
        yield
    except sqlite3.Error as fault:
        raise _explained(fault, path) from fault
    except UnicodeDecodeError as fault:  # of SQLite's own words, if the tables' text is damaged
        what, next_step = _BROKEN
        raise JournalError(what, where=str(path), next=next_step) from fault
    except OSError as fault:
        what, next_step = _BARRED
        reason = f" ({fault.strerror})" if fault.strerror else ""
        raise JournalError(what + reason, where=str(path), next=next_step) from fault


ROW_FAULTS = (
    CompanionError,
    ValueError,
    ArithmeticError,
    TypeError,
    AttributeError,
    RecursionError,
    msgspec.MsgspecError,
)
"""What reading the values of a row can raise where a disk or another program changed them."""


def unreadable(where: str, fault: Exception) -> JournalError:
    """The fault of a row that stands for nothing any more."""
    said = fault.what if isinstance(fault, CompanionError) else str(fault)
    return JournalError(
        f"This entry cannot be read, so the file was changed by other means ({said[:200]})",
        where=where,
        next="Delete that entry (companion log check names it), or restore a backup.",
    )


def error_code(fault: sqlite3.Error) -> int:
    """SQLite's primary result code, 0 when the fault is not SQLite's own."""
    return getattr(fault, "sqlite_errorcode", 0) & 0xFF


def _is_full(path: Path) -> bool:
    """Whether the disk has less room than SQLite needs to begin with.

    It says SQLITE_FULL of the log itself, but of the files next to it only that the disk
    refused them.
    """
    try:
        return shutil.disk_usage(path.parent).free < _LEAST
    except OSError:
        return False


def _explained(fault: sqlite3.Error, path: Path) -> JournalError:
    unforeseen = (
        f"The practice log refused this ({fault}), so it may be damaged; nothing was written",
        "Run companion log check; a backup is put in its place with companion log restore FILE.",
    )
    code = error_code(fault)
    what, next_step = _SENTENCES.get(code, unforeseen)
    if code == sqlite3.SQLITE_IOERR and _is_full(path):
        what, next_step = _FULL
    return JournalError(what, where=str(path), next=next_step)


# All or nothing: a change to the log is wholly there afterwards, or not at all.


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Takes the pen at the start, so that two writers wait for each other instead of colliding.

    Committed and on disk when the block ends; undone when it is left by any
    other way, a failed commit included. The connection must be in autocommit
    mode (`isolation_level=None`).
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")


@contextmanager
def snapshot(connection: sqlite3.Connection) -> Iterator[None]:
    """Several questions answered from one and the same moment; nobody is kept waiting."""
    connection.execute("BEGIN")
    try:
        yield
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")

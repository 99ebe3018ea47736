"""Opens the file of the practice log, and leaves alone every file that is not one.

Whose file it is is settled before it is opened in earnest: merely opening a
database can write next to it and in it, and a file that is refused must stay
as it was, byte for byte.
"""

from __future__ import annotations

import sqlite3
import time
from contextlib import ExitStack, closing
from pathlib import Path

from companion.files.whole_file import make_own_file, make_own_folder
from companion.journal import schema
from companion.journal.database import JournalError, error_code, in_a_sentence

_OLDEST_SQLITE = (3, 37, 0)
"""The first with STRICT tables (SQLite release history, 2021-11-27)."""

_BARRED = (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR)
"""What SQLite says where it can read but cannot make the files it keeps next to the log."""


def open_for_writing(path: Path, patience: float) -> sqlite3.Connection:
    """The log at `path`, created with its folder if need be and brought up to date.

    `patience` is how many seconds to wait for another writer. Raises JournalError.
    """
    refuse_old_sqlite()
    with in_a_sentence(path), ExitStack() as undo:
        make_own_folder(path.parent)
        make_own_file(path)
        _refuse_other_files(path, patience)
        connection = _connect(path, "mode=rwc", patience)
        undo.callback(connection.close)
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        # Where fsync leaves data in the drive's cache (macOS), ask for more; no-op elsewhere.
        connection.execute("PRAGMA fullfsync = ON")
        connection.execute("PRAGMA checkpoint_fullfsync = ON")
        # What is written moves into the main file when the last one leaves, never while
        # others write: SQLite up to 3.51.2 may lose commits there ("The WAL Reset Bug").
        connection.execute("PRAGMA wal_autocheckpoint = 0")
        schema.bring_up_to_date(connection, path)
        _write_ahead(connection, patience)
        undo.pop_all()
    return connection


def open_for_reading(path: Path, patience: float) -> sqlite3.Connection:
    """The log at `path`, never written to; one empty in memory if there is none yet.

    One in an older form is copied into memory and brought up to date
    there, so that it can be read, and what stands on the disk is as it was. Raises
    JournalError.
    """
    refuse_old_sqlite()
    with in_a_sentence(path), ExitStack() as undo:
        if not path.exists():
            return _empty(path)
        _refuse_other_files(path, patience)
        connection = _connect_for_reading(path, patience)
        undo.callback(connection.close)
        found = schema.version(connection)
        schema.refuse_newer(found, path)
        if found == 0:
            if schema.has_tables(connection):
                raise schema.not_a_log(path)
            return _empty(path)
        if found < len(schema.STEPS):
            return _copy_up_to_date(connection, path)
        undo.pop_all()
    return connection


def _empty(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    schema.bring_up_to_date(connection, path)
    connection.execute("PRAGMA query_only = ON")
    return connection


def _copy_up_to_date(older: sqlite3.Connection, path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    older.backup(connection)
    schema.bring_up_to_date(connection, path)
    connection.execute("PRAGMA query_only = ON")
    return connection


def refuse_old_sqlite(found: tuple[int, ...] = sqlite3.sqlite_version_info) -> None:
    """Raises JournalError when this Python's SQLite cannot keep the log's types strictly."""
    if found < _OLDEST_SQLITE:
        raise JournalError(
            f"The practice log needs SQLite {_dotted(_OLDEST_SQLITE)} or later;"
            f" this Python brings {_dotted(found)}",
            next="Install a newer Python.",
        )


def _dotted(numbers: tuple[int, ...]) -> str:
    return ".".join(str(number) for number in numbers)


def _refuse_other_files(path: Path, patience: float) -> None:
    """Looks at the file's marks without changing it or leaving files next to it.

    SQLite does the looking. A plain open and close here would drop the locks
    this process holds on the log through another connection (POSIX), after
    which a second process may take the log from under it.
    """
    if not path.exists() or _beside(path, "-journal"):
        return  # nothing yet, or a creation cut short, which SQLite itself undoes
    if not path.is_file():
        raise schema.not_a_log(path)
    # What another process wrote may still be beside the main file; then it has to be read too.
    how = "mode=ro" if _beside(path, "-wal") else "mode=ro&immutable=1"
    with closing(_connect(path, how, patience)) as glance:
        found = schema.version(glance)
        (owner,) = glance.execute("PRAGMA application_id").fetchone()
    if owner == schema.APPLICATION_ID:
        schema.refuse_newer(found, path)
    elif (owner, found) != (0, 0):
        raise schema.not_a_log(path)


def _beside(path: Path, ending: str) -> bool:
    """Whether SQLite left something unfinished in a file next to the log."""
    left = path.with_name(path.name + ending)
    return left.exists() and left.stat().st_size > 0


def _connect(path: Path, how: str, patience: float) -> sqlite3.Connection:
    address = f"{path.absolute().as_uri()}?{how}"
    return sqlite3.connect(address, uri=True, timeout=patience, isolation_level=None)


def _connect_for_reading(path: Path, patience: float) -> sqlite3.Connection:
    """Opened as writers do, which leaves no files behind, but with writing forbidden.

    Where this player may not write, or there is no room left, SQLite cannot make its
    shared index; there the main file is read as it stands, if it is all there is.
    """
    with ExitStack() as undo:
        connection = _connect(path, "mode=rw", patience)
        undo.callback(connection.close)
        connection.execute("PRAGMA query_only = ON")
        try:
            schema.version(connection)
        except sqlite3.OperationalError as fault:
            if error_code(fault) not in _BARRED or _beside(path, "-wal"):
                raise
            return _connect(path, "mode=ro&immutable=1", patience)
        undo.pop_all()
    return connection


def _write_ahead(connection: sqlite3.Connection, patience: float) -> None:
    """Lets readers read while one writes.

    SQLite does not wait for others at this one step, so it is tried until
    `patience` runs out. Then, or on a file system that cannot do it, the log
    keeps the older way, as durable but with readers waiting.
    """
    give_up = time.monotonic() + patience
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as fault:
            if error_code(fault) != sqlite3.SQLITE_BUSY:
                raise
        else:
            return
        if time.monotonic() > give_up:
            return
        time.sleep(0.02)

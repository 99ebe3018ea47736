"""A copy of the log in one file, made while others may be writing.

SQLite makes the copy: the log is up to three files while it is open, and copying those by
other means can miss what is in the second. The copy is made beside its place, looked
through, and only then put there, so that an older backup is never replaced by half a one.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from companion.journal import schema
from companion.journal.opening import open_for_reading
from companion.journal.trouble import JournalError, in_a_sentence

_BESIDE = ("", "-journal", "-wal", "-shm")
"""What may be left of an unfinished copy."""


def back_up(log: sqlite3.Connection, place: Path, target: Path) -> None:
    """Copies the log into `target`, which may be an older backup. Raises JournalError."""
    _refuse_to_overwrite(place, target)
    with in_a_sentence(target):
        copy_into(log, target)


def copy_into(log: sqlite3.Connection, target: Path) -> None:
    """Copies the log; `target` is wholly there afterwards, on the disk, or as it was."""
    unfinished = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with closing(sqlite3.connect(unfinished, isolation_level=None)) as copy:
            log.backup(copy)
            # One file that needs none beside it, and can be read where nothing may be written.
            copy.execute("PRAGMA journal_mode = DELETE")
            _refuse_damaged(copy, target)
        _onto_the_disk(unfinished)
        os.replace(unfinished, target)
        _onto_the_disk(target.parent)
    finally:
        for ending in _BESIDE:
            with suppress(OSError):
                unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)


def _refuse_to_overwrite(place: Path, target: Path) -> None:
    """Refuses every target but a new file and a backup that lies still."""
    if not target.exists():
        return
    if place.exists() and target.samefile(place):
        raise JournalError(
            "This is the practice log itself", where=str(target), next="Name another file."
        )
    open_for_reading(target, 0).close()  # raises for what is no practice log
    wal = target.with_name(target.name + "-wal")
    if target.stat().st_size == 0 or (wal.exists() and wal.stat().st_size):
        raise JournalError(
            "This is no backup that lies still, and is left as it is",
            where=str(target),
            next="Name another file.",
        )


def _refuse_damaged(copy: sqlite3.Connection, target: Path) -> None:
    (said,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
    if said != "ok" or schema.version(copy) == 0:
        raise JournalError(
            "The practice log is damaged, so no backup was made of it",
            where=str(target),
            next="Run companion log check, and keep the backups there are.",
        )


def _onto_the_disk(path: Path) -> None:
    """Asks the system to have it on the disk now; a folder only where it can be asked."""
    with suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

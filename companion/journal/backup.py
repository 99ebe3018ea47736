"""A copy of the log in one file, made while others may be writing.

SQLite makes the copy: the log is up to three files while it is open, and copying those by
other means can miss what is in the second. The copy is made next to its place, looked
through, and only then put there, so that an older backup is never replaced by half a one.
"""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing, suppress
from datetime import datetime
from os.path import exists, isfile
from pathlib import Path

from companion.files.file_kind import other_kind
from companion.files.whole_file import make_own_file, make_own_folder, replacing
from companion.journal import check, schema
from companion.journal.database import JournalError, error_code, in_a_sentence, transaction
from companion.journal.open_log import open_for_reading, open_for_writing

_BESIDE = ("-journal", "-wal", "-shm")
"""What SQLite may leave next to an unfinished copy."""


def back_up(log: sqlite3.Connection, place: Path, target: Path) -> None:
    """Copies the log into `target`, which may be an older backup. Raises JournalError."""
    _refuse_to_overwrite(place, target)
    with in_a_sentence(target):
        copy_into(log, target)


def copy_into(log: sqlite3.Connection, target: Path) -> None:
    """Copies the log; `target` is wholly there afterwards, on the disk, or as it was."""
    with replacing(target, durable=True) as unfinished:
        try:
            make_own_file(unfinished)
            with closing(sqlite3.connect(unfinished, isolation_level=None)) as copy:
                log.backup(copy)
                # One file that needs none beside it, and can be read where nothing may be written.
                copy.execute("PRAGMA journal_mode = DELETE")
                _refuse_damaged(copy, target)
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
            "This backup is empty or in use, and is left as it is",
            where=str(target),
            next="Name another file.",
        )


def _refuse_damaged(copy: sqlite3.Connection, target: Path) -> None:
    (found,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
    if found != "ok" or schema.version(copy) == 0:
        raise JournalError(
            "The practice log is damaged, so no backup was made of it",
            where=str(target),
            next="Run companion log check, and keep the backups there are.",
        )


# Putting a backup in the log's place, with what stood there kept beside it.


_EXCHANGED = ("attempt", "revision", "entry", "goal", "occasion", "setting")
"""The tables whose rows are exchanged; `passage` follows the attempts by itself."""

_NO_DAMAGE = (
    sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_LOCKED,
    sqlite3.SQLITE_FULL,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_AUTH,
)
"""What SQLite says of a log that may be whole: another program, the disk, who may write."""

_BARRED = (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY)

_OTHER_TABLES = (
    "SELECT type, name, sql FROM come.sqlite_schema"
    " EXCEPT SELECT type, name, sql FROM main.sqlite_schema"
)
"""What a log has to be laid out with, and this one is not."""


def restore(path: Path, backup: Path, at: datetime, patience: float) -> Path | None:
    """Lets the log at `path` hold what the backup holds.

    Returns where the replaced log is kept; None if there was none. What stands there and
    cannot be opened as a log is moved aside as it is. Raises JournalError, the log as it was,
    for a backup that is none, is damaged or from a newer companion.
    """
    prepared = path.with_name(f".{path.name}.{os.getpid()}.restoring")
    with in_a_sentence(path):
        make_own_folder(path.parent)
        try:
            _prepare(backup, prepared, patience)
            kept = _kept_name(path, at)
            if not path.exists():
                os.replace(prepared, path)
                return None
            try:
                _exchange(path, prepared, kept, patience)
            except JournalError as fault:
                if _may_be_whole(fault, path):
                    raise
                _move_aside(path, prepared, kept)
            return kept
        finally:
            with suppress(OSError):
                prepared.unlink(missing_ok=True)


def _prepare(backup: Path, prepared: Path, patience: float) -> None:
    """The backup looked through, in today's form, as a file next to the log."""
    # Looked at and not opened: that would drop the locks on a log (see open_log).
    if exists(backup) and (kind := other_kind(backup)):
        raise JournalError(f"This is {kind}", where=str(backup), next="Name a backup.")
    if not isfile(backup) or backup.stat().st_size == 0:
        raise JournalError(
            "There is no backup of a practice log here", where=str(backup), next="Check the name."
        )
    with closing(open_for_reading(backup, patience)) as source:
        for problem in check.problems(source, backup):
            raise JournalError(
                f"This backup is not whole, so nothing was restored ({problem})",
                where=str(backup),
                next="Take an older backup.",
            )
        copy_into(source, prepared)
    with closing(sqlite3.connect(prepared, isolation_level=None)) as copy:
        copy.execute("DELETE FROM timer")


def _exchange(path: Path, prepared: Path, kept: Path, patience: float) -> None:
    with closing(open_for_writing(path, patience)) as log, in_a_sentence(path):
        log.execute("ATTACH ? AS come", (f"{prepared.absolute().as_uri()}?mode=ro",))
        with transaction(log):
            # Nobody else writes from here on; a reader of its own sees all they wrote.
            with closing(open_for_reading(path, patience)) as now:
                is_whole = now.execute("PRAGMA integrity_check(1)").fetchone() == ("ok",)
                if not is_whole or log.execute(_OTHER_TABLES).fetchone():
                    raise JournalError("The practice log is damaged", where=str(path))
                copy_into(now, kept)
            for table in ("passage", *reversed(_EXCHANGED)):
                log.execute(f"DELETE FROM main.{table}")
            for table in _EXCHANGED:
                log.execute(f"INSERT INTO main.{table} SELECT * FROM come.{table}")


def _move_aside(path: Path, prepared: Path, kept: Path) -> None:
    for ending in ("-wal", "-shm", ""):
        beside = path.with_name(path.name + ending)
        if beside.exists():
            os.rename(beside, kept.with_name(kept.name + ending))
    os.replace(prepared, path)


def _may_be_whole(fault: JournalError, path: Path) -> bool:
    cause = fault.__cause__
    if isinstance(cause, sqlite3.Error):
        if error_code(cause) in _BARRED:  # a damaged beginning reads so as well
            return not all(os.access(place, os.R_OK | os.W_OK) for place in (path, path.parent))
        return error_code(cause) in _NO_DAMAGE
    return isinstance(cause, OSError) or isinstance(fault, schema.NewerLogError)


def _kept_name(path: Path, at: datetime) -> Path:
    """`practice-replaced-20260301-180000.db`, or with a number where that is taken."""
    name = f"{path.stem}-replaced-{at:%Y%m%d-%H%M%S}"
    number, free = 1, path.with_name(f"{name}{path.suffix}")
    while free.exists():
        number += 1
        free = path.with_name(f"{name}-{number}{path.suffix}")
    return free

"""Practice that nobody has rated yet, on the disk every few seconds.

A closed terminal, a signal or a fault ends the program without a question. So a drill keeps
what it has so far in a file of its own, and the next start asks how it went.
"""

from __future__ import annotations

import os
import time
from contextlib import suppress
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import make_own_folder, write_whole
from companion.journal.json_document import record_of, written
from companion.journal.record import Corrected, Record
from companion.practice.attempt import Attempt, now

EVERY_SECONDS = 5.0
"""How often a drill keeps what it has: so much is lost at most."""
_STALE_SECONDS = 60.0
"""A file that was not written for so long belongs to no program that runs."""


def keep_in_progress(folders: Folders, attempt: Attempt) -> None:
    """Keep what was played so far; its outcome is a placeholder. Where the disk refuses, the
    drill goes on: what is rated is tried again by the log itself."""
    place = _place(folders, os.getpid())
    with suppress(CompanionError, OSError):
        make_own_folder(place.parent)
        write_whole(place, b"".join(written(Record((Corrected(attempt),)), now())))


def forget_in_progress(folders: Folders) -> None:
    """It was rated, or left unrated on purpose."""
    with suppress(OSError):
        _place(folders, os.getpid()).unlink(missing_ok=True)


def left_in_progress(folders: Folders) -> list[Attempt]:
    """What programs that run no longer had not asked about, the earliest first.

    A file that cannot be read is put aside by its name, so that nothing is asked twice.
    """
    found: list[Attempt] = []
    for place in _folder(folders).glob("*.json"):
        if not _is_left(place):
            continue
        try:
            record = record_of(place.read_bytes(), str(place))
        except (CompanionError, OSError):
            with suppress(OSError):
                place.replace(place.with_suffix(".damaged"))
        else:
            found += [one.attempt for one in record.attempts]
    return sorted(found, key=lambda attempt: attempt.at)


def settled(folders: Folders, attempt: Attempt) -> None:
    """One of them was rated or dropped."""
    for place in _folder(folders).glob("*.json"):
        with suppress(CompanionError, OSError):
            record = record_of(place.read_bytes(), str(place))
            if any(one.attempt.id == attempt.id for one in record.attempts):
                place.unlink()


def _folder(folders: Folders) -> Path:
    return folders.data / "in-progress"


def _place(folders: Folders, process: int) -> Path:
    return _folder(folders) / f"{process}.json"


def _is_left(place: Path) -> bool:
    """Whether its program has ended. Only POSIX can ask for a process without ending it."""
    with suppress(OSError):
        if time.time() - place.stat().st_mtime > _STALE_SECONDS:
            return True
    if os.name != "posix" or not place.stem.isdecimal():
        return False
    if int(place.stem) == os.getpid():
        return False
    try:
        os.kill(int(place.stem), 0)
    except ProcessLookupError:
        return True
    except OSError:
        return False
    return False

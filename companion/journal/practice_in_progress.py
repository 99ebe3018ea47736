"""Practice that nobody has rated yet, on the disk every few seconds.

A closed terminal, a signal or a fault ends the program without a question. So a drill keeps
what it has so far in a file of its own, and the next start asks how it went.
"""

from __future__ import annotations

import os
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import make_own_folder, write_whole
from companion.journal.json_document import record_of, written
from companion.journal.log import Log
from companion.journal.record import Corrected, Record
from companion.practice.attempt import Attempt, now

EVERY_SECONDS = 5.0
"""How often a drill keeps what it has: so much is lost at most."""
_STALE_SECONDS = 60.0
"""A file that was not written for so long belongs to no program that runs."""


def keep_in_progress(folders: Folders, attempts: Sequence[Attempt]) -> None:
    """Keep what was played so far, each stretch of it; the outcomes are placeholders. Where the
    disk refuses, the drill goes on: what is rated is tried again by the log itself."""
    _keep(_place(folders, os.getpid()), attempts)


def forget_in_progress(folders: Folders) -> None:
    """It was rated, or left unrated on purpose."""
    with suppress(OSError):
        _place(folders, os.getpid()).unlink(missing_ok=True)


def left_in_progress(folders: Folders) -> list[Attempt]:
    """What programs that run no longer had not asked about, the earliest first.

    What is in the log is not among them: the program may have ended just after it was rated. A
    file that cannot be read is put aside by its name, so that nothing is asked twice.
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
    return sorted(_not_logged(folders, found), key=lambda attempt: attempt.at)


def settled(folders: Folders, attempt: Attempt) -> None:
    """One of them was rated or dropped."""
    for place in _folder(folders).glob("*.json"):
        with suppress(CompanionError, OSError):
            attempts = [one.attempt for one in record_of(place.read_bytes(), str(place)).attempts]
            left = [one for one in attempts if one.id != attempt.id]
            if not left:
                place.unlink()
            elif len(left) < len(attempts):
                at = place.stat().st_mtime
                _keep(place, left)
                os.utime(place, (at, at))  # it belongs to no program that runs


def _not_logged(folders: Folders, found: list[Attempt]) -> list[Attempt]:
    if not found:
        return []
    with suppress(CompanionError), Log.read_only(folders.data) as log:
        return [one for one in found if ("attempt", one.id) not in log.ids_like(one.id)]
    return found


def _keep(place: Path, attempts: Sequence[Attempt]) -> None:
    record = Record(tuple(Corrected(attempt) for attempt in attempts))
    with suppress(CompanionError, OSError):
        make_own_folder(place.parent)
        write_whole(place, b"".join(written(record, now())))


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

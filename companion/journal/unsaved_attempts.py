"""What the disk would not take is kept in memory and tried again: practice goes on meanwhile.

A full disk must neither stop the music nor swallow an attempt. What could not be written
waits in memory, in order, and is tried before the next thing that is noted, and once more
when the program ends. Where even that fails it is written as a file that
`companion log import` takes in, wherever there is a place for one.
"""

from __future__ import annotations

import atexit
import sys
import tempfile
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from threading import RLock

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.score_paths import whole_path
from companion.journal.log import Log
from companion.practice.attempt import Attempt, now

_waiting: dict[Path, list[Attempt]] = {}
_lock = RLock()


@dataclass(frozen=True, slots=True)
class UnsavedAttempts:
    """Attempts that are not in the log yet."""

    attempts: tuple[Attempt, ...]
    """The one that has waited longest first."""
    error: CompanionError
    """Why the log could not take them."""


def note_or_keep_unsaved(folders: Folders, attempt: Attempt) -> UnsavedAttempts | None:
    """Write an attempt down after all that wait; None once they are on the disk.

    Raises nothing that a disk can do: what cannot be written waits and is handed back.
    """
    with _lock:
        if not _waiting:
            atexit.register(_at_exit)
        _waiting.setdefault(folders.data, []).append(attempt)
        return retry_unsaved(folders)


def retry_unsaved(folders: Folders) -> UnsavedAttempts | None:
    """Try once more to write what waits; None if nothing waits any longer."""
    with _lock:
        waiting = _waiting.get(folders.data, [])
        try:
            if waiting:
                with Log.open(folders.data) as log:
                    while waiting:
                        # A commit that was reported as failed may be on the disk all the same.
                        log.note_once(waiting[0])
                        del waiting[0]
        except CompanionError as error:
            # A copy: the error itself keeps every frame it came through, and so the player.
            told = CompanionError(error.what, where=error.where, next=error.next)
            return UnsavedAttempts(tuple(waiting), told)
        _waiting.pop(folders.data, None)
        return None


def rescue_unsaved(folders: Folders, places: tuple[Path, ...] | None = None) -> str:
    """At the end: try once more, else write what is unsaved where there is room.

    A sentence that says where it is; empty if nothing waited. Nothing waits afterwards.
    """
    with _lock:
        unsaved = retry_unsaved(folders)
        if unsaved is None:
            return ""
        _waiting.pop(folders.data, None)
    return _rescued(
        unsaved, places or (Path.home(), Path(tempfile.gettempdir()), whole_path(Path()))
    )


def _rescued(unsaved: UnsavedAttempts, places: tuple[Path, ...]) -> str:
    from companion.files.whole_file import NotWritten, write_whole
    from companion.journal.json_document import written
    from companion.journal.record import Corrected, Record

    record = Record(tuple(Corrected(attempt) for attempt in unsaved.attempts))
    content = b"".join(written(record, now()))
    for place in places:
        path = place / f"companion-unsaved-{_stamp(now())}-{unsaved.attempts[0].id[:8]}.json"
        try:
            write_whole(path, content)
        except NotWritten:
            continue
        return (
            f"{unsaved.error.sentence()} What was not saved is in {path}; once there is room:"
            f" companion log import {path}"
        )
    return (
        f"{unsaved.error.sentence()} Nothing could be written anywhere; this was not saved:\n"
        + (content.decode("utf-8"))
    )


def _stamp(at: datetime) -> str:
    return f"{at:%Y%m%d-%H%M%S}"


def _at_exit() -> None:
    """The last resort where no face has asked: the terminal is a person's again by now."""
    for data in list(_waiting):
        if told := rescue_unsaved(Folders(data, data)):
            sys.stderr.write(f"companion: {told}\n")

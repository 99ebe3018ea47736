"""Attempts put into a player's log, as a drill does."""

from __future__ import annotations

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Attempt


def note_attempt(folders: Folders, attempt: Attempt) -> None:
    """Write an attempt down. Raises CompanionError where it could not be written."""
    with Log.open(folders.data) as log:
        log.note(attempt)

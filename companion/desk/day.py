"""The hour at which a player's day of practice ends."""

from __future__ import annotations

from datetime import time

from companion.desk.folders import Folders
from companion.journal.log import Log


def day_ends(folders: Folders) -> time:
    """As it was set, or as it is where nothing was."""
    with Log.read_only(folders.data) as log:
        return log.day_ends


def set_day_ends(folders: Folders, ends: time) -> None:
    """Set it; on disk when this returns."""
    with Log.open(folders.data) as log:
        log.set_day_ends(ends)

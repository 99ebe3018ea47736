"""What is due, as a calendar asks for it: the dates the player works towards."""

from __future__ import annotations

from companion.desk.folders import Folders
from companion.journal.log import Log
from companion.practice.due import Due
from companion.practice.occasion import Occasion


def dates_due(folders: Folders) -> list[Due]:
    """Concerts, lessons and other dates that still hold, each as a whole day."""
    with Log.read_only(folders.data) as log:
        return [_due(occasion) for occasion in log.occasions.now()]


def _due(occasion: Occasion) -> Due:
    told = f"{occasion.kind.value}: {occasion.name}" if occasion.name else occasion.kind.value
    return Due(occasion.day, told[0].upper() + told[1:], id=occasion.id)

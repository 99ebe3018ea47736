"""A player's habits of practice: one small file, to be edited by hand or by a screen."""

from __future__ import annotations

from pathlib import Path

import msgspec

from companion.desk.folders import Folders
from companion.desk.kept_files import keep, kept
from companion.errors import CompanionError
from companion.practice.plan.habits import Habits


def habits_of(folders: Folders) -> Habits:
    """As they were set; the usual ones where nothing was.

    Raises CompanionError naming the file where it cannot be meant.
    """
    place = habits_file(folders)
    content = kept(place)
    if content is None:
        return Habits()
    try:
        return msgspec.json.decode(content, type=Habits)
    except msgspec.MsgspecError as problem:
        raise CompanionError(
            f"these habits cannot be read ({problem})",
            where=str(place),
            next="Mend the file, or delete it to begin with the usual ones.",
        ) from None


def set_habits(folders: Folders, habits: Habits) -> None:
    """Keep them. Raises CompanionError where they cannot be written."""
    keep(habits_file(folders), msgspec.json.format(msgspec.json.encode(habits), indent=1))


def habits_file(folders: Folders) -> Path:
    """Where they are kept."""
    return folders.data / "habits.json"

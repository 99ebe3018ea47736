"""What a player settled for one score: the part that is mine, and tempo relations.

Kept by the content of the score in one small JSON file each, so that moving or
renaming the score loses nothing.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from pathlib import Path

from msgspec import Struct, field

from companion.desk.folders import Folders
from companion.errors import CompanionError
from companion.rhythm.relation import Same


class Choices(Struct, frozen=True):
    """A player's settings for one score."""

    part: str | None = None
    """Id of the part that is mine; None before one was chosen."""
    relations: Mapping[int, Same] = field(default_factory=dict)
    """Tempo relations by the ordinal bar they begin at, overruling marks and custom."""


def choices_for(folders: Folders, digest: str) -> Choices:
    """What was settled for a score; nothing yet where the file is missing or damaged."""
    try:
        kept = json.loads(_place(folders, digest).read_text("utf-8"))
        relations = {int(bar): Same(same) for bar, same in kept.get("relations", {}).items()}
        part = kept.get("part")
        return Choices(part if isinstance(part, str) else None, relations)
    except (OSError, ValueError, AttributeError):
        return Choices()


def keep_choices(folders: Folders, digest: str, choices: Choices) -> None:
    """Keep what was settled. Raises CompanionError where the data folder cannot be written to."""
    import tempfile  # slow to import, and most commands only read

    place = _place(folders, digest)
    kept = {
        "part": choices.part,
        "relations": {str(bar): same.value for bar, same in sorted(choices.relations.items())},
    }
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=place.parent, prefix=".writing-")
        with os.fdopen(handle, "w", encoding="utf-8") as out:
            json.dump(kept, out, indent=1)
        os.replace(beside, place)
    except OSError as problem:
        raise CompanionError(
            f"the choice could not be kept ({problem.strerror})",
            where=str(place),
            next="Make its folder writable.",
        ) from None


def _place(folders: Folders, digest: str) -> Path:
    return folders.data / "scores" / f"{digest}.json"

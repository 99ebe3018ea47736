"""Where the desk keeps things: the log and choices in one folder, the cache in another."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from companion.journal.place import data_folder


@dataclass(frozen=True, slots=True)
class Folders:
    """The two folders a session works with."""

    data: Path
    """The log and the player's choices; worth backing up."""
    cache: Path
    """Scores already read; may be deleted at any time."""


def folders(override: Path | None = None) -> Folders:
    """The platform's folders, or one chosen folder (an option or COMPANION_DATA) for both."""
    data = data_folder(override)
    if override is not None or os.environ.get("COMPANION_DATA"):
        return Folders(data, data / "cache")

    from platformdirs import user_cache_path

    return Folders(data, user_cache_path("companion", appauthor=False))

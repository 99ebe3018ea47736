"""Where the desk keeps things: the log and choices in one folder, the cache in another."""

from __future__ import annotations

import os
from pathlib import Path
from typing import NamedTuple

from companion.errors import RequestError
from companion.journal.place import data_folder, player_folder, players


class Folders(NamedTuple):
    """The two folders a session works with."""

    data: Path
    """The log and the player's choices; worth backing up."""
    cache: Path
    """Scores already read; may be deleted at any time."""


def folders(override: Path | None = None, player: str | None = None) -> Folders:
    """The platform's folders, or one chosen folder (an option or COMPANION_DATA) for both.

    A named player (an option or COMPANION_PLAYER) has a data folder inside; the cache is
    everybody's. Raises RequestError for a name that cannot be a folder's, or for
    a place that holds something else.
    """
    data = data_folder(override)
    if data.exists() and not data.is_dir():
        raise RequestError(
            "this is no folder to keep a log in", where=str(data), next="Name a folder."
        )
    mine = player_folder(data, player)
    if override is not None or os.environ.get("COMPANION_DATA"):
        return Folders(mine, data / "cache")

    from platformdirs import user_cache_path

    return Folders(mine, user_cache_path("companion", appauthor=False))


def new_player(folders: Folders, override: Path | None = None) -> str:
    """A sentence where this player has no folder yet but others have; empty otherwise.

    So that a slip in a name does not pass for an empty log.
    """
    others = players(data_folder(override))
    if folders.data.parent.name != "players" or folders.data.exists() or not others:
        return ""
    return f"{folders.data.name} is new here. Players so far: {', '.join(others)}."

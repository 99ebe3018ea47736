"""Where things lie: a player's log and choices, the cache, and what the program brings along.

Nothing here creates a folder.
"""

from __future__ import annotations

import os
import re
import unicodedata
from pathlib import Path
from typing import NamedTuple

from companion.errors import CompanionError, RequestError

PLAYERS = "players"
"""The folder that holds a folder for each named player."""

_LONGEST = 60
"""Letters in a name: in no script more than the 255 bytes a file name may have."""

_RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?")
"""Names that are devices (Microsoft, "Naming Files, Paths, and Namespaces")."""


class Folders(NamedTuple):
    """The two folders a session works with."""

    data: Path
    """The log and the player's choices; worth backing up."""
    cache: Path
    """Scores already read; may be deleted at any time."""


def folders(override: Path | None = None, player: str | None = None) -> Folders:
    """The platform's folders, or one chosen folder (an option or COMPANION_DATA) for both.

    A named player (an option or COMPANION_PLAYER) has a data folder inside; the cache is
    everybody's. Raises RequestError for a name that cannot be a folder's on every system,
    or for a place that holds something else, CompanionError for one that may not be entered.
    """
    data = _data_folder(override)
    mine = _player_folder(data, player)
    for folder in dict.fromkeys((data, mine)):
        _refuse_what_holds_no_log(folder)
    if override is not None or os.environ.get("COMPANION_DATA"):
        return Folders(mine, data / "cache")

    from platformdirs import user_cache_path

    return Folders(mine, user_cache_path("companion", appauthor=False))


def _refuse_what_holds_no_log(folder: Path) -> None:
    try:
        if not folder.exists() or (folder.is_dir() and os.access(folder, os.X_OK)):
            return
        is_barred = folder.is_dir()
    except OSError:  # a name that is too long, or a place one may not look into
        is_barred = False
    if is_barred:
        raise CompanionError(
            "this folder may not be looked into, so it cannot hold a log",
            where=str(folder),
            next="Change its permissions (chmod 700), or name another with --data-dir.",
        )
    raise RequestError(
        "this is not a folder that can hold a log", where=str(folder), next="Name a folder."
    )


def others_of_new_player(folders: Folders, override: Path | None = None) -> list[str]:
    """The other players if this one is named and has no folder yet; empty otherwise.

    So that a slip in a name does not pass for an empty log.
    """
    if folders.data.parent.name != PLAYERS or folders.data.exists():
        return []
    return _players(_data_folder(override))


def _data_folder(override: Path | None = None) -> Path:
    """The folder of everybody's logs: `override`, else COMPANION_DATA, else the platform's own.

    An empty COMPANION_DATA counts as unset, and "~" is the player's home.
    """
    if override is not None:
        return override.expanduser()
    if named := os.environ.get("COMPANION_DATA"):
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("companion", appauthor=False)


def _player_folder(data: Path, player: str | None = None) -> Path:
    """The folder of one player's log: `player`, else COMPANION_PLAYER, else `data` itself."""
    name = player if player is not None else os.environ.get("COMPANION_PLAYER", "")
    if player is None and not name.strip():
        return data
    return data / PLAYERS / _folder_name(name)


def _players(data: Path) -> list[str]:
    """The named players that have a folder, in the order of the alphabet."""
    try:
        return sorted(entry.name for entry in (data / PLAYERS).iterdir() if entry.is_dir())
    except OSError:
        return []


def _folder_name(name: str) -> str:
    folded = unicodedata.normalize("NFKC", name).casefold()
    folder = unicodedata.normalize("NFKC", folded).strip()
    is_plain = all(letter.isalnum() or letter in " -_.'" or _joins(letter) for letter in folder)
    fits = 0 < len(folder) <= _LONGEST and len(os.fsencode(folder)) <= 255
    if not (is_plain and fits) or folder.strip(".") != folder or _RESERVED.fullmatch(folder):
        raise RequestError(
            f"“{name}” cannot be the name of a player, because no folder can be called so",
            next="Choose letters and digits; a space, - _ . or ' between them.",
        )
    return folder


def _joins(letter: str) -> bool:
    """Whether it is a sign that belongs to the letter before it, as in many scripts."""
    return unicodedata.category(letter) in ("Mn", "Mc")


def assets_folder() -> Path:
    """The folder of things the program brings along, in a checkout or an installed package.

    Raises CompanionError without it.
    """
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_assets", package.parent / "assets"):
        if folder.is_dir():
            return folder
    raise CompanionError("the built-in score is missing", next="Install companion again.")


def demo_score() -> Path:
    """The built-in quartet."""
    return next((assets_folder() / "demo").glob("*.musicxml"))

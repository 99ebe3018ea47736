"""Where the practice log lives: one folder a player, the same every day.

Decided in one place, so that a log is never begun a second time in another
folder while the first one, with its years, seems lost. For the same reason a
player's name is one folder however it is typed: "Anna" and "anna" would be two
on one system and one on another.
"""

from __future__ import annotations

import os
import re
import unicodedata
from pathlib import Path

from companion.errors import RequestError

_PLAYERS = "players"
"""The folder that holds a folder for each named player."""

_LONGEST = 60
"""Letters in a name: in no script more than the 255 bytes a file name may have."""

_RESERVED = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?")
"""Names that are devices (Microsoft, "Naming Files, Paths, and Namespaces")."""


def data_folder(override: Path | None = None) -> Path:
    """The folder of the practice log: `override`, else COMPANION_DATA, else the platform's own.

    Nothing is created. An empty COMPANION_DATA counts as unset, and "~" is the
    player's home.
    """
    if override is not None:
        return override.expanduser()
    if named := os.environ.get("COMPANION_DATA"):
        return Path(named).expanduser()
    from platformdirs import user_data_path

    return user_data_path("companion", appauthor=False)


def player_folder(data: Path, player: str | None = None) -> Path:
    """The folder of one player's log: `player`, else COMPANION_PLAYER, else `data` itself.

    Nothing is created. Raises RequestError for a name that cannot be a folder's everywhere.
    """
    name = player if player is not None else os.environ.get("COMPANION_PLAYER", "")
    if player is None and not name.strip():
        return data
    return data / _PLAYERS / _folder_name(name)


def players(data: Path) -> list[str]:
    """The named players that have a folder, in the order of the alphabet."""
    try:
        return sorted(entry.name for entry in (data / _PLAYERS).iterdir() if entry.is_dir())
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

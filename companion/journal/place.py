"""Where the practice log lives: one folder a player, the same every day.

Decided in one place, so that a log is never begun a second time in another
folder while the first one, with its years, seems lost.
"""

from __future__ import annotations

import os
from pathlib import Path


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

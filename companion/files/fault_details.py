"""What a developer needs of a fault that nobody foresaw, in a file instead of on the screen."""

from __future__ import annotations

import traceback
from datetime import datetime
from pathlib import Path

from companion.errors import CompanionError
from companion.files.whole_file import make_own_folder, write_whole

_KEPT = 10


def keep_fault_details(data: Path, error: BaseException, at: datetime) -> Path | None:
    """The file in the data folder that has the traceback; None where it cannot be written.
    The latest ten are kept."""
    folder = data / "faults"
    place = folder / f"{at:%Y%m%d-%H%M%S}.txt"
    try:
        make_own_folder(folder)
        for old in sorted(folder.glob("*.txt"))[: -_KEPT + 1]:
            old.unlink()
        text = "".join(traceback.format_exception(error))
        write_whole(place, text.encode("utf-8", "backslashreplace"))
    except (CompanionError, OSError):
        return None
    return place

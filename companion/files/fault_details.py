"""What a developer needs of a fault that nobody foresaw, in a file instead of on the screen."""

from __future__ import annotations

import traceback
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from companion.errors import CompanionError
from companion.files.whole_file import keep_file

_KEPT = 10


def keep_fault_details(data: Path, error: BaseException, at: datetime) -> Path | None:
    """The file in the data folder that has the traceback; None where it cannot be written.
    The latest ten are kept."""
    folder = data / "faults"
    place = folder / f"{at:%Y%m%d-%H%M%S-%f}.txt"
    text = "".join(traceback.format_exception(error))
    try:
        keep_file(place, text.encode("utf-8", "backslashreplace"))
    except CompanionError:
        return None
    with suppress(OSError):
        for old in sorted(folder.glob("*.txt"))[:-_KEPT]:
            old.unlink()
    return place

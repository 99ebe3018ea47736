"""The edge of the app: what nobody foresaw ends it in one sentence, with the details in a file.

Three ways in are guarded: a fault anywhere in the app, a signal that ends the program, and a
byte from the keyboard that is no UTF-8, on which the toolkit's own reader would stop.
"""

from __future__ import annotations

import asyncio
import signal
import traceback
from codecs import getincrementaldecoder
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import partial
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import write_whole

_ENDING = ("SIGTERM", "SIGHUP")
_KEPT = 10
"""Files of details that are kept."""


def fault_told(folders: Folders, error: BaseException | None, at: datetime) -> str:
    """One sentence for a person; what a developer needs is written to a file."""
    name = type(error).__name__ if error is not None else "unknown"
    place = _written(folders, error, at)
    where = f" Details: {place}" if place else ""
    return (
        f"companion had to stop: an unforeseen fault ({name}). What you logged is kept, and the "
        f"next start asks about what was being practised.{where}"
    )


def _written(folders: Folders, error: BaseException | None, at: datetime) -> Path | None:
    folder = folders.data / "faults"
    place = folder / f"{at:%Y%m%d-%H%M%S}.txt"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for old in sorted(folder.glob("*.txt"))[: -_KEPT + 1]:
            old.unlink()
        text = "".join(traceback.format_exception(error)) if error is not None else "?"
        write_whole(place, text.encode("utf-8", "backslashreplace"))
    except (CompanionError, OSError):
        return None
    return place


def end_on_signals(end: Callable[[int], object]) -> None:
    """Call `end` with the exit status when the program is told to stop."""
    loop = asyncio.get_running_loop()
    for name in _ENDING:
        number = getattr(signal, name, None)
        if number is not None:
            # Windows has no handlers in its loop, and a test may run outside the main thread.
            with suppress(NotImplementedError, RuntimeError, ValueError):
                loop.add_signal_handler(number, end, 128 + number)


def forgive_keyboard() -> None:
    """Read bytes that are no UTF-8 as the replacement sign instead of failing on them."""
    with suppress(ImportError):  # there is no such reader on Windows
        from textual.drivers import linux_driver

        lenient = partial(getincrementaldecoder("utf-8"), errors="replace")
        vars(linux_driver)["getincrementaldecoder"] = lambda encoding: lenient

"""How the app ends when nobody asked it to: an unforeseen fault, or a signal."""

from __future__ import annotations

import asyncio
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from threading import Event

from companion.files.fault_details import keep_fault_details
from companion.files.folders import Folders

_SIGNALS = ("SIGTERM", "SIGHUP")
ending = Event()
"""Set as soon as the program is told to stop, although all of the app may still wait."""


def fault_told(folders: Folders, error: BaseException | None, at: datetime) -> str:
    """One sentence for a person; what a developer needs is written to a file."""
    fault = error if error is not None else RuntimeError("nobody knows which")
    place = keep_fault_details(folders.data, fault, at)
    where = f" Details: {place}" if place else ""
    return (
        f"companion had to stop: an unforeseen fault ({type(fault).__name__}). What you logged is "
        f"kept, and the next start asks about what was being practised.{where}"
    )


def end_on_signals(end: Callable[[int], object]) -> None:
    """Call `end` with the exit status when the program is told to stop.

    Not through the loop's own handlers: they would wait with all of the app while a terminal
    takes nothing.
    """
    loop = asyncio.get_running_loop()

    def told(number: int, _: object) -> None:
        ending.set()
        try:
            loop.call_soon_threadsafe(end, 128 + number)
        except RuntimeError:  # the app has ended before
            sys.exit(128 + number)

    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None:
            with suppress(ValueError):  # a test may run outside the main thread
                signal.signal(number, told)

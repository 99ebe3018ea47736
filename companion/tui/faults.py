"""The edge of the app: what nobody foresaw ends it in one sentence, with the details in a file.

What is guarded: a fault anywhere in the app, a signal that ends the program, a byte from the
keyboard that is no UTF-8, on which the toolkit's own reader would stop, a terminal that takes
nothing more, a screen that is closed twice, and a key or click in a list that has other rows than
when it was drawn.
"""

from __future__ import annotations

import asyncio
import signal
import sys
from codecs import getincrementaldecoder
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import partial
from threading import Event
from typing import Any, Literal

from textual.await_complete import AwaitComplete
from textual.events import Click
from textual.screen import Screen
from textual.widgets import OptionList

from companion.files.fault_details import keep_fault_details
from companion.files.folders import Folders

_ENDING = ("SIGTERM", "SIGHUP")
ending = Event()
"""Set as soon as the program is told to stop, although all of the app may still wait."""
_DISMISS = Screen.dismiss
_MOVE_PAGE = OptionList._move_page
_ON_CLICK = OptionList._on_click


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

    for name in _ENDING:
        number = getattr(signal, name, None)
        if number is not None:
            with suppress(ValueError):  # a test may run outside the main thread
                signal.signal(number, told)


def forgive_terminal() -> None:
    """Read bytes that are no UTF-8 as the replacement sign; end although nobody takes what is sent.

    The toolkit's own reader and writer would fail and wait for ever.
    """
    with suppress(ImportError):  # there is no such terminal on Windows
        from textual.drivers import linux_driver

        from companion.tui.terminal_writer import TerminalWriter

        lenient = partial(getincrementaldecoder("utf-8"), errors="replace")
        vars(linux_driver)["getincrementaldecoder"] = lambda encoding: lenient
        vars(linux_driver)["WriterThread"] = TerminalWriter


def forgive_dismissals() -> None:
    """Close the screen that is meant, once.

    The toolkit closes whichever lies on top: a second Enter in a field, or a score that is read
    while the help lies above, would close another screen, with what was played on it.
    """

    def dismiss(screen: Screen[Any], result: Any = None) -> AwaitComplete:  # noqa: ANN401
        app = screen.app
        while screen in app.screen_stack and not screen.is_active:
            app.pop_screen()
        return _DISMISS(screen, result) if screen.is_active else AwaitComplete()

    Screen.dismiss = dismiss  # type: ignore[method-assign, assignment]


def forgive_lists() -> None:
    """A page turned before a list is laid out, or a click where a row was, does nothing.

    In every list of the program and in the toolkit's command palette.
    """

    def move_page(rows: OptionList, direction: Literal[-1, 1]) -> None:
        with suppress(KeyError, IndexError):
            _MOVE_PAGE(rows, direction)

    async def on_click(rows: OptionList, event: Click) -> None:
        with suppress(IndexError):
            await _ON_CLICK(rows, event)

    OptionList._move_page = move_page  # type: ignore[method-assign, assignment]
    OptionList._on_click = on_click  # type: ignore[method-assign, assignment]

"""No long pauses of the interpreter while somebody listens.

From time to time Python looks through every object there is for garbage that refers to
itself. With a quartet and a screen in memory that takes a tenth of a second, during which
no thread runs: longer than a sound card's queue lasts, and so a hole in the sound, once or
twice a minute. While sound plays, what is there already is therefore left out of the
search, and the whole of the search is put off; in a pause everything is as it was.

For the same reason threads give way to each other after one millisecond instead of five:
a sound card's thread that finds another one busy is let in so much sooner.
"""

from __future__ import annotations

import gc
import sys
import threading
from weakref import WeakSet

SELDOM = 100_000
"""Searches of the young objects before one of all: more than there are in a day's practice."""
GIVING_WAY = 0.001
"""Seconds that a busy thread goes on while another one waits."""

IN_A_SESSION = (700, 10, 10)
"""New objects before a search of the young ones, and such searches before one of more of them:
Python's own numbers. A screen that was left is garbage that refers to itself."""

_USUALLY_GIVING_WAY = sys.getswitchinterval()
_before: list[tuple[int, int, int]] = []
"""How often it is searched when nobody listens; empty as long as nobody does."""
_lock = threading.Lock()
_listeners: WeakSet[object] = WeakSet()
"""Those who listen; one that is dropped without `resume_gc` listens no longer."""


def pause_gc(listener: object) -> None:
    """Somebody listens. Nothing happens where the same one did already."""
    with _lock:
        if not _listeners:
            if not _before:  # else listeners were dropped without `resume_gc`
                _before.append(gc.get_threshold())
            gc.freeze()
            gc.set_threshold(*_before[0][:2], SELDOM)
            sys.setswitchinterval(GIVING_WAY)
        _listeners.add(listener)


def resume_gc(listener: object) -> None:
    """That one no longer listens; after the last one the collector is as it was."""
    with _lock:
        _listeners.discard(listener)
        if not _listeners and _before:
            gc.set_threshold(*_before.pop())
            gc.unfreeze()
            sys.setswitchinterval(_USUALLY_GIVING_WAY)


def use_session_thresholds() -> None:
    """Collect as often as Python does by default: a long session must free its closed screens, a
    single command need not."""
    with _lock:
        if _before:
            _before[0] = IN_A_SESSION
            gc.set_threshold(*IN_A_SESSION[:2], SELDOM)
        else:
            gc.set_threshold(*IN_A_SESSION)

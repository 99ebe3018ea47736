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

_USUAL = gc.get_threshold()
_USUALLY_GIVING_WAY = sys.getswitchinterval()
_lock = threading.Lock()
_listeners: WeakSet[object] = WeakSet()
"""Those who listen; one that is forgotten without a word listens no longer."""


def pause_gc(listener: object) -> None:
    """Somebody listens. Nothing happens where the same one did already."""
    with _lock:
        if not _listeners:
            gc.freeze()
            gc.set_threshold(*_USUAL[:2], SELDOM)
            sys.setswitchinterval(GIVING_WAY)
        _listeners.add(listener)


def resume_gc(listener: object) -> None:
    """That one no longer listens; after the last one the collector is as it was."""
    with _lock:
        _listeners.discard(listener)
        if not _listeners and gc.get_threshold() != _USUAL:
            gc.set_threshold(*_USUAL)
            gc.unfreeze()
            sys.setswitchinterval(_USUALLY_GIVING_WAY)

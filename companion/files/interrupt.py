"""Ctrl+C that waits for a call in which it would do harm."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def interrupt_after() -> Iterator[None]:
    """If Ctrl+C is pressed within the block, it counts at its end."""
    if threading.current_thread() is not threading.main_thread():
        yield  # it reaches the main thread alone
        return
    pressed = []
    before = signal.signal(signal.SIGINT, lambda *_: pressed.append(True))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before or signal.default_int_handler)
        if pressed:
            signal.raise_signal(signal.SIGINT)

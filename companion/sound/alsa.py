"""Keeping ALSA's own messages off the screen.

On Linux the sound system's library writes some thirty lines straight to file
descriptor 2 when there is no card, across whatever the terminal shows. Redirecting
that descriptor would lose everybody else's messages with it; the library has a
handler for exactly this, so that is what is set.
"""

from __future__ import annotations

import ctypes
import sys
from functools import cache

_Handler = ctypes.CFUNCTYPE(
    None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
)


@cache
def hush() -> tuple[object, ...]:
    """Let ALSA report nothing by itself; elsewhere, or without ALSA, do nothing.

    The result keeps the handler alive for as long as the process lives: the library
    goes on calling it.
    """
    if sys.platform != "linux":
        return ()
    try:
        library = ctypes.CDLL("libasound.so.2")
    except OSError:
        return ()
    handler = _Handler(_say_nothing)
    library.snd_lib_error_set_handler(handler)
    return library, handler


def _say_nothing(*_: object) -> None:
    """Takes the file, line, function, error number and text of a message."""

"""The two sound libraries, imported late and refused in plain words.

Either may be missing: one has no wheels for some computers, the other is built from
source and crashes newer interpreters. Whoever asks for one that cannot serve reads
what to do about it, not an import error. Neither library carries types.
"""

from __future__ import annotations

import ctypes
import sys
from functools import cache
from typing import Any

from companion.sound.sound_error import SoundError


def miniaudio() -> Any:  # noqa: ANN401  the library has no types
    """The module miniaudio; SoundError where it is not installed."""
    silence_alsa()
    try:
        import miniaudio as library
    except (ImportError, OSError) as fault:
        raise SoundError(
            "The sound library miniaudio is not here",
            next="Install it with 'pip install miniaudio', or choose simpleaudio or silent.",
        ) from fault
    return library


def simpleaudio(version: tuple[int, int] = sys.version_info[:2]) -> Any:  # noqa: ANN401
    """The module simpleaudio; SoundError where it is not installed or would crash."""
    refused = refusal(version)
    if refused is not None:
        raise refused
    silence_alsa()
    try:
        import simpleaudio as library
    except (ImportError, OSError) as fault:
        raise SoundError(
            "The sound library simpleaudio is not installed",
            next="Install it with: pip install simpleaudio, or choose miniaudio or silent.",
        ) from fault
    return library


def refusal(version: tuple[int, int]) -> SoundError | None:
    """Why simpleaudio is not used under this version of Python; None if it can be.

    From 3.12 on the interpreter no longer lets memory be freed by a thread it does not
    know, which is what simpleaudio 1.0.4 does at the end of every sound.
    """
    if version < (3, 12):
        return None
    return SoundError(
        f"simpleaudio crashes under Python {version[0]}.{version[1]}",
        next="Choose miniaudio, or run companion with Python 3.11.",
    )


# Keeping ALSA's own messages off the screen.


_Handler = ctypes.CFUNCTYPE(
    None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
)


@cache
def silence_alsa() -> tuple[object, ...]:
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

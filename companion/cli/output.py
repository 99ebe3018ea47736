"""Lines for whatever reads them: a terminal of any encoding, a file, nothing at all."""

from __future__ import annotations

import codecs
import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import TextIO, cast

from companion.errors import CompanionError
from companion.wording.control_characters import without_control
from companion.wording.plain_signs import in_ascii

_PLAIN = {"…": "...", "→": "->", "·": "-"}
"""Those that read better in a line of text than on a screen of columns."""


class OutputNotTaken(CompanionError):
    """Nothing more can be printed."""


_NO_ROOM = {errno.ENOSPC: "the disk is full", errno.EFBIG: "files may not be so large here"}


class _WithoutControl:
    """An output that lets no control character of a stranger through, and whose own faults are
    told from those of any other file."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        with _told():
            self._stream.write(without_control(text))
        return len(text)

    def flush(self) -> None:
        with _told():
            self._stream.flush()

    def __getattr__(self, name: str) -> object:
        return getattr(self._stream, name)


@contextmanager
def _told() -> Iterator[None]:
    """A reader that went away is no fault; whatever else the system says becomes a sentence."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as fault:
        why = _NO_ROOM.get(fault.errno or 0) or fault.strerror or str(fault)
        raise OutputNotTaken(f"the output could not be written: {why}") from fault


def print_nothing_more() -> None:
    """What is still to be printed goes nowhere, so that it cannot fail once more at the end."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def write_without_control() -> None:
    """From here on nothing that is printed can order the terminal about."""
    sys.stdout = cast(TextIO, _WithoutControl(sys.stdout))
    sys.stderr = cast(TextIO, _WithoutControl(sys.stderr))


def write_in_any_encoding() -> None:
    """What the output cannot show is written plainly: a dash for a long one, ? for the rest.

    Windows redirects in its own code page, and some terminals know ASCII alone.
    """
    for stream in (sys.stdout, sys.stderr):
        encoding = getattr(stream, "encoding", None) or ""
        if encoding.lower().replace("-", "") != "utf8" and hasattr(stream, "reconfigure"):
            codecs.register_error("plain", _plainly)
            stream.reconfigure(errors="plain")


def _plainly(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    text = error.object[error.start : error.end]
    return "".join(_PLAIN.get(sign) or in_ascii(sign) for sign in text), error.end

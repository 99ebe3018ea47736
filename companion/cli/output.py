"""Lines for whatever reads them: a terminal of any encoding, a file, nothing at all."""

from __future__ import annotations

import codecs
import sys
from typing import TextIO, cast

from companion.wording.control_characters import without_control

_PLAIN = {
    "–": "-",
    "—": "-",
    "−": "-",
    "“": '"',
    "”": '"',
    "’": "'",
    "′": "'",
    "…": "...",
    "·": "-",
    "×": "x",
    "→": "->",
    "●": "*",
    "━": "=",
    "█": "#",
    "▪": "#",
}


class _WithoutControl:
    """An output that lets no control character of a stranger through."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        self._stream.write(without_control(text))
        return len(text)

    def __getattr__(self, name: str) -> object:
        return getattr(self._stream, name)


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
    return "".join(_plain(sign) for sign in text), error.end


def _plain(sign: str) -> str:
    """One sign in ASCII."""
    if sign in _PLAIN:
        return _PLAIN[sign]
    from unicodedata import normalize

    bare = normalize("NFKD", sign).encode("ascii", "ignore").decode("ascii")
    return bare or "?"

"""The formats other than MusicXML that can be turned into it, and how to tell them.

A short list on purpose: formats a general library really reads, told by their
contents. Python's own stored objects are never among them, for reading one can
run whatever it holds.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from msgspec import Struct

_START = 1 << 16
_MARK = b"\xef\xbb\xbf"
_ABC_TUNE = re.compile(rb"^X:\s*\d+", re.M)
_ABC_KEY = re.compile(rb"^K:", re.M)


class Form(Struct, frozen=True):
    """A format other than MusicXML."""

    name: str
    """What players call it."""
    key: str
    """What the general library calls it."""
    is_it: Callable[[bytes, str], bool]
    """Whether bytes, with their outermost XML element or none, are in this format."""


def _is_midi(data: bytes, root: str) -> bool:
    return data.startswith(b"MThd")


def _is_mei(data: bytes, root: str) -> bool:
    return root == "mei"


def _is_humdrum(data: bytes, root: str) -> bool:
    """Comments, then a line that names the spines (`**kern`)."""
    for line in data[:_START].removeprefix(_MARK).splitlines():
        if line.strip() and not line.startswith(b"!"):
            return line.startswith(b"**")
    return False


def _is_abc(data: bytes, root: str) -> bool:
    """A tune number and a key, each on a line of its own."""
    start = data[:_START].removeprefix(_MARK).replace(b"\r", b"\n")
    return not root and bool(_ABC_TUNE.search(start) and _ABC_KEY.search(start))


FORMS = (
    Form("Humdrum", "humdrum", _is_humdrum),
    Form("MEI", "mei", _is_mei),
    Form("ABC", "abc", _is_abc),
    Form("MIDI", "midi", _is_midi),
)


def recognised(data: bytes, root: str) -> Form | None:
    """The format of a file that is no MusicXML; None where it is none of ours."""
    return next((form for form in FORMS if form.is_it(data, root)), None)

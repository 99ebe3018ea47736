"""The text of a score cut into its heading and its parts, without parsing it.

Parts that can be taken apart one after another can be read one after another, the first
while the second is still text. Nothing is decided here about what is well formed: where a
cut falls wrongly (inside a comment, say), some piece is no XML, and the whole is parsed
instead.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from companion.score.readers.musicxml.parsing import MOST_TAGS

_ROOT = b"<score-partwise"
_CLOSING = b"</score-partwise"
_END = re.compile(rb"</score-partwise\s*>\s*")
_BEGIN = b"<part "
_PART = re.compile(rb"""<part\s+id\s*=\s*(["'])([^"'&<\t\r\n]{0,1000})\1\s*>""")
_ENCODING = re.compile(rb"""(?:\xef\xbb\xbf)?\s*<\?xml[^>]*\sencoding\s*=\s*["']([^"']*)["']""")
_DECLARATION = re.compile(r"\s*<\?xml[^>]*\?>")
_WIDE = (b"\xff\xfe", b"\xfe\xff")
_DIVISIONS = b"<divisions>"
_LONG = 3 * MOST_TAGS
"""Bytes. Only a longer text can hold more tags than are allowed, which is told of the whole."""


class Cut(NamedTuple):
    """A partwise score in pieces, in UTF-8."""

    heading: bytes
    """Everything before the first part, closed."""
    parts: tuple[tuple[str, bytes], ...]
    """(id, text) of each part in order of the file."""

    def divisions(self) -> set[str]:
        """What stands as divisions of the quarter, as far as it is plainly written."""
        found = (text for _, part in self.parts for text in part.split(_DIVISIONS)[1:])
        return {text[: text.find(b"<")].decode("utf-8", "replace") for text in found}


def cut(data: bytes) -> Cut | None:
    """The pieces of a partwise score; None where it is not plainly one."""
    text = _utf8(data)
    if text is None or len(text) > _LONG and text.count(b"<") > MOST_TAGS:
        return None
    begin = text.find(_BEGIN)
    if begin < 0 or _ROOT not in text[:begin]:
        return None
    end = text.rfind(_CLOSING)
    if not _END.fullmatch(text, max(end, 0)):
        return None
    heading = text[:begin] + _CLOSING + b">"
    parts: list[tuple[str, bytes]] = []
    while begin >= 0:
        opened = _PART.match(text, begin)
        if opened is None:
            return None
        after = text.find(_BEGIN, begin + 1)
        piece = text[begin : after if after >= 0 else end]
        parts.append((opened[2].decode("utf-8", "replace"), piece))
        begin = after
    return Cut(heading, tuple(parts))


def _utf8(data: bytes) -> bytes | None:
    """The text in UTF-8, with no other encoding declared."""
    if data.startswith(_WIDE):
        try:
            return _DECLARATION.sub("", data.decode("utf-16"), count=1).encode()
        except UnicodeError:
            return None
    stated = _ENCODING.match(data)
    return data if stated is None or stated[1].lower() == b"utf-8" else None

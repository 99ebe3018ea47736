"""A score being taken apart in a thread while what is there already is read.

The parser needs no interpreter, so that on two cores a score is read in hardly more time
than the reading alone takes. Pieces that turn out not to be XML by themselves say nothing
about the whole: then the whole is parsed, and its fault, if it has one, told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import partial
from queue import SimpleQueue
from threading import Thread
from typing import NamedTuple

from lxml.etree import _Element

from companion.score.reader_error import ReaderError
from companion.score.readers.musicxml.parsing import MOST_TAGS, parse_xml

PartText = tuple[str, Callable[[], _Element]]
"""The id of a part, and what waits for its element."""


class PartwiseText(Exception):
    """The document cannot be read in pieces."""


class Document:
    """A score-partwise or score-timewise document, begun at once."""

    def __init__(self, data: bytes, *, in_one: bool = False) -> None:
        """Nothing is said of `data` before `root` is asked for. `in_one` does not cut it."""
        self._data = data
        self._cut = None if in_one else cut_text(data)
        self._there: list[_Element] = []
        self._coming: SimpleQueue[_Element | BaseException] = SimpleQueue()
        Thread(target=self._take_apart, name="document", daemon=True).start()

    def root(self) -> _Element:
        """The outermost element, which may lack its parts.

        Raises ReaderError if the whole is no XML, Torn where a piece is none.
        """
        return self._piece(0)

    def parts(self) -> list[PartText]:
        """The parts of a partwise score in order of the file. Waiting for one may raise Torn."""
        if self._cut is not None:
            return [
                (id_, partial(self._piece, index))
                for index, (id_, _) in enumerate(self._cut.parts, 1)
            ]
        return [
            (part.get("id") or "", partial(_at_once, part))
            for part in self.root().iterchildren("part")
        ]

    def divisions(self) -> Iterable[str | None]:
        """What is stated as divisions of the quarter; in pieces some may be missing."""
        if self._cut is not None:
            return self._cut.divisions()
        return (element.text for element in self.root().iter("divisions"))

    def in_one(self) -> Document:
        """The same document, not cut."""
        return Document(self._data, in_one=True)

    def _piece(self, index: int) -> _Element:
        while len(self._there) <= index:
            came = self._coming.get()
            if isinstance(came, BaseException):
                raise came
            self._there.append(came)
        return self._there[index]

    def _take_apart(self) -> None:
        try:
            for element in _elements(self._data, self._cut):
                self._coming.put(element)
        except BaseException as fault:  # noqa: BLE001  it is raised where it is waited for
            self._coming.put(fault)


def _elements(data: bytes, pieces: CutText | None) -> Iterator[_Element]:
    if pieces is None:
        yield parse_xml(data)
        return
    try:
        yield parse_xml(pieces.heading)
        for _, text in pieces.parts:
            yield parse_xml(text)
    except ReaderError:
        raise PartwiseText from None


def _at_once(part: _Element) -> _Element:
    return part


# The text of a score cut into its heading and its parts, without parsing it.


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


class CutText(NamedTuple):
    """A partwise score in pieces, in UTF-8."""

    heading: bytes
    """Everything before the first part, closed."""
    parts: tuple[tuple[str, bytes], ...]
    """(id, text) of each part in order of the file."""

    def divisions(self) -> set[str]:
        """What stands as divisions of the quarter, as far as it is plainly written."""
        found = (text for _, part in self.parts for text in part.split(_DIVISIONS)[1:])
        return {text[: text.find(b"<")].decode("utf-8", "replace") for text in found}


def cut_text(data: bytes) -> CutText | None:
    """The pieces of a partwise score; None if it is not plainly one."""
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
    return CutText(heading, tuple(parts))


def _utf8(data: bytes) -> bytes | None:
    """The text in UTF-8, with no other encoding declared."""
    if data.startswith(_WIDE):
        try:
            return _DECLARATION.sub("", data.decode("utf-16"), count=1).encode()
        except UnicodeError:
            return None
    stated = _ENCODING.match(data)
    return data if stated is None or stated[1].lower() == b"utf-8" else None

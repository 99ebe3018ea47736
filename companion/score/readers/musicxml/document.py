"""A score being taken apart in a thread while what is there already is read.

The parser needs no interpreter, so that on two cores a score is read in hardly more time
than the reading alone takes. Pieces that turn out not to be XML by themselves say nothing
about the whole: then the whole is parsed, and its fault, if it has one, told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from queue import SimpleQueue
from threading import Thread

from lxml.etree import _Element

from companion.score.readers.musicxml.cutting import Cut, cut
from companion.score.readers.musicxml.parsing import parse_xml
from companion.score.readers.refusal import ReaderError

Part = tuple[str, Callable[[], _Element]]
"""The id of a part, and what waits for its element."""


class Torn(Exception):
    """The document cannot be read in pieces."""


class Document:
    """A score-partwise or score-timewise document, begun at once."""

    def __init__(self, data: bytes, *, in_one: bool = False) -> None:
        """Nothing is said of `data` before `root` is asked for. `in_one` does not cut it."""
        self._data = data
        self._cut = None if in_one else cut(data)
        self._there: list[_Element] = []
        self._coming: SimpleQueue[_Element | BaseException] = SimpleQueue()
        Thread(target=self._take_apart, name="document", daemon=True).start()

    def root(self) -> _Element:
        """The outermost element, which may lack its parts.

        Raises ReaderError where the whole is no XML, Torn where a piece is none.
        """
        return self._piece(0)

    def parts(self) -> list[Part]:
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


def _elements(data: bytes, pieces: Cut | None) -> Iterator[_Element]:
    if pieces is None:
        yield parse_xml(data)
        return
    try:
        yield parse_xml(pieces.heading)
        for _, text in pieces.parts:
            yield parse_xml(text)
    except ReaderError:
        raise Torn from None


def _at_once(part: _Element) -> _Element:
    return part

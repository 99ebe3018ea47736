"""What a file holds, judged by its first bytes and not by its name.

Endings lie: `.xml` may be anything, and a score may be called `.txt`. XML is read
no further than its outermost element, so that nothing it declares comes to act.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from lxml import etree
from msgspec import Struct

from companion.score.reader_error import AGAIN, ReaderError
from companion.score.readers.musicxml.parsing import declares_entities, fault, refuse_entities

SCORE_ROOTS = ("score-partwise", "score-timewise")
ZIP = b"PK\x03\x04"
EMPTY_ZIP = b"PK\x05\x06"
_BITE = 1 << 16
_STARTS = (b"<", b"\xef\xbb\xbf<", b"\xff\xfe<\0", b"\xfe\xff\0<", b"<\0", b"\0<")


def is_zip(data: bytes) -> bool:
    """Whether the bytes are a zip archive."""
    return data.startswith((ZIP, EMPTY_ZIP))


def is_xml(data: bytes) -> bool:
    """Whether the bytes look like XML in UTF-8, UTF-16 or an 8-bit encoding."""
    return data[:200].lstrip().startswith(_STARTS)


def root_name(data: bytes) -> str:
    """The name of the outermost element, without a namespace.

    Raises ReaderError if there is none, or where the file declares entities.
    """
    parser = etree.XMLPullParser(
        events=("start",), resolve_entities=False, no_network=True, load_dtd=False
    )
    refuse_entities(data)
    text = data.lstrip()
    try:
        for place in range(0, len(text), _BITE):
            parser.feed(text[place : place + _BITE])
            for _, root in parser.read_events():
                if isinstance(root, etree._Element):
                    return _harmless_name(root)
    except etree.XMLSyntaxError as error:
        raise fault(error, data) from None
    raise ReaderError("the file breaks off before the score begins", next=AGAIN)


def _harmless_name(root: etree._Element) -> str:
    if declares_entities(root):
        raise ReaderError("the file declares entities, which no score needs", next=AGAIN)
    return local_name(root)


def local_name(element: etree._Element) -> str:
    """An element's name without its namespace, which may be nonsense."""
    return str(element.tag).rpartition("}")[2]


def refusal_of_root(name: str) -> ReaderError:
    """Why XML with this outermost element is no score, and what to do instead."""
    if name == "opus":
        return ReaderError(
            "it is an opus, a list of scores, and no score itself",
            next="Open one of the scores it lists.",
        )
    if name.lower() == "html":
        return ReaderError("it is a web page, not a score", next="Download the score itself.")
    return ReaderError(
        f"it is XML of another kind (“{name[:40]}”), not a score",
        next="Export the score as MusicXML.",
    )


# The formats other than MusicXML that can be turned into it, and how to tell them.


_START = 1 << 16
_MARK = b"\xef\xbb\xbf"
_ABC_TUNE = re.compile(rb"^X:\s*\d+", re.M)
_ABC_KEY = re.compile(rb"^K:", re.M)


class FileForm(Struct, frozen=True):
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
    FileForm("Humdrum", "humdrum", _is_humdrum),
    FileForm("MEI", "mei", _is_mei),
    FileForm("ABC", "abc", _is_abc),
    FileForm("MIDI", "midi", _is_midi),
)


def recognised(data: bytes, root: str) -> FileForm | None:
    """The format of a file that is no MusicXML; None if it is none of ours."""
    return next((form for form in FORMS if form.is_it(data, root)), None)

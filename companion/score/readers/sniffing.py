"""What a file holds, judged by its first bytes and not by its name.

Endings lie: `.xml` may be anything, and a score may be called `.txt`. XML is read
no further than its outermost element, so that nothing it declares comes to act.
"""

from __future__ import annotations

from lxml import etree

from companion.score.readers.musicxml.parsing import declares_entities, fault, refuse_entities
from companion.score.readers.refusal import AGAIN, ReaderError

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

    Raises ReaderError where there is none, or where the file declares entities.
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

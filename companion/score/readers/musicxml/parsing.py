"""From bytes to an XML tree, without anything a tree can smuggle in.

Nothing is fetched and no entity of the file's own is expanded: a page of text
can otherwise grow to gigabytes, or read other files of the player's machine.
`collect_ids` keeps its default on purpose: without it, lxml asks for the DTD.
"""

from __future__ import annotations

import re

from lxml import etree

from companion.score.reader_error import AGAIN, ReaderError

MOST_TAGS = 8_000_000
_PROLOG = 1 << 16
_TAIL = 4096
_END = re.compile(rb"</score-(?:partwise|timewise)")
_UNKNOWN_LETTERS = {
    etree.ErrorTypes.ERR_INVALID_ENCODING,
    etree.ErrorTypes.ERR_UNSUPPORTED_ENCODING,
    etree.ErrorTypes.ERR_UNKNOWN_ENCODING,
}


def parse_xml(data: bytes) -> etree._Element:
    """The root element. Raises ReaderError if the XML is broken or declares entities."""
    refuse_entities(data)
    if data.count(b"<") > MOST_TAGS:
        raise ReaderError(f"the file holds more than {MOST_TAGS:,} tags, as no score does")
    parser = etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        remove_blank_text=True,  # a tenth less time
        remove_comments=True,
        remove_pis=True,
    )
    try:
        root = etree.fromstring(data.lstrip(), parser)
    except etree.XMLSyntaxError as error:
        raise fault(error, data) from None
    except (ValueError, LookupError):
        raise ReaderError("the file is not readable XML", next=AGAIN) from None
    if declares_entities(root):
        raise _entities()
    if b"&" in data and next(root.iter(etree.Entity), None) is not None:
        raise ReaderError("the file refers to an entity it does not define", next=AGAIN)
    return root


def refuse_entities(data: bytes) -> None:
    """Raise ReaderError where entities are declared, before any parser meets them."""
    prolog = data[:_PROLOG].replace(b"\0", b"").partition(b"<score-")[0]
    if b"<!ENTITY" in prolog:
        raise _entities()


def declares_entities(root: etree._Element) -> bool:
    """Whether the document type of the file itself defines an entity, however it is spelled."""
    subset = root.getroottree().docinfo.internalDTD
    return subset is not None and bool(list(subset.iterentities()))  # type: ignore[attr-defined]


def _entities() -> ReaderError:
    return ReaderError("the file declares entities, which no score needs", next=AGAIN)


def fault(error: etree.XMLSyntaxError, data: bytes) -> ReaderError:
    """What is wrong with the XML, in words of our own."""
    line = f"line {error.lineno}" if error.lineno else ""
    if "depth" in str(error):
        return ReaderError("the XML is nested too deeply to be a score", where=line, next=AGAIN)
    if error.code in _UNKNOWN_LETTERS:  # type: ignore[attr-defined]
        what = "the file holds letters its stated encoding does not know"
        return ReaderError(what, where=line, next=AGAIN)
    if not _END.search(data[-_TAIL:].replace(b"\0", b"")):
        return ReaderError("the file breaks off before the score ends", where=line, next=AGAIN)
    return ReaderError("the XML is broken", where=line, next=AGAIN)

"""The score inside a zip container (`.mxl`), unpacked within bounds.

A container names its score in META-INF/container.xml (MusicXML 4.0, "Compressed
.mxl files": the first rootfile counts); old or home-made ones lack it.
"""

from __future__ import annotations

from collections.abc import Iterator
from zipfile import ZipFile, ZipInfo

from companion.files.zip_container import (
    TooLargeError,
    TooManyFilesError,
    ZipDamagedError,
    ZipLockedError,
    unpacked,
    zip_container,
)
from companion.score.reader_error import AGAIN, ReaderError
from companion.score.readers.file_contents import MOST_BYTES
from companion.score.readers.format_detection import (
    SCORE_ROOTS,
    is_xml,
    local_name,
    refusal_of_root,
    root_name,
)
from companion.score.readers.musicxml.parsing import parse_xml

_MOST_ENTRIES = 10_000
_DENSEST = 120
"""Times its size to which a container may unpack. The densest of the 535 in music21's corpus
unpacks to 55 times (op. 18 no. 4; measured)."""
_SMALL = 16_000_000
"""Bytes that can be read whatever they were packed into."""
_CONTAINER = "META-INF/container.xml"


def score_in(data: bytes, most: int = MOST_BYTES) -> bytes:
    """The XML text of the score in a zip. Raises ReaderError if there is none, or where
    it is encrypted, damaged or unpacks to more than `most` bytes."""
    try:
        with zip_container(data, _MOST_ENTRIES) as archive:
            entries = archive.infolist()
            size = sum(entry.file_size for entry in entries)
            if size > most:
                raise TooLargeError
            if size > _SMALL and size > _DENSEST * len(data):
                raise ReaderError(
                    f"it unpacks to {size // len(data)} times its size, as no score does",
                    next=AGAIN,
                )
            return _score(archive, entries, most)
    except TooManyFilesError:
        raise ReaderError(f"the container holds more than {_MOST_ENTRIES:,} files") from None
    except TooLargeError:
        raise ReaderError(
            f"it unpacks to more than {most // 1_000_000} megabytes",
            next="No score is that large; get the file again.",
        ) from None
    except ZipDamagedError:
        raise ReaderError("the container is damaged", next=AGAIN) from None
    except ZipLockedError:
        raise ReaderError(
            "the container is encrypted or packed in an unknown way",
            next="Unpack it, or export it again without a password.",
        ) from None


def _score(archive: ZipFile, entries: list[ZipInfo], most: int) -> bytes:
    refusal = ReaderError("the container holds no score", next="Export the score as MusicXML.")
    for entry in _candidates(archive, entries, most):
        text = unpacked(archive, entry, most)
        if not is_xml(text):
            continue
        try:
            name = root_name(text)
        except ReaderError as error:
            refusal = error
            continue
        if name in SCORE_ROOTS:
            return text
        refusal = refusal_of_root(name)
    raise refusal


def _candidates(archive: ZipFile, entries: list[ZipInfo], most: int) -> Iterator[ZipInfo]:
    """The entry the container names; without that, whatever may be a score."""
    by_name = {entry.filename: entry for entry in entries}
    named = _named(archive, by_name, most)
    if named is not None:
        yield named
    for entry in entries:
        name = entry.filename.lower()
        hidden = name.startswith(("meta-inf/", "__macosx/"))
        if name.endswith((".xml", ".musicxml")) and not hidden and entry is not named:
            yield entry


def _named(archive: ZipFile, by_name: dict[str, ZipInfo], most: int) -> ZipInfo | None:
    """The first rootfile of the container's own table of contents."""
    if _CONTAINER not in by_name:
        return None
    try:
        contents = parse_xml(unpacked(archive, by_name[_CONTAINER], most))
    except ReaderError:
        return None
    for element in contents.iter():
        if local_name(element) == "rootfile":
            return by_name.get(element.get("full-path") or "")
    return None

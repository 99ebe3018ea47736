"""What is in a pack, once everything about it was checked. Nothing is written here.

Sizes are counted while reading, never taken from the pack; and the directory of the zip
file is measured before it is read, because ten thousand empty entries are heavy, too.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from io import BytesIO
from stat import S_IFMT, S_ISREG
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from companion.exercise.pack.form import (
    LARGEST,
    LARGEST_LIST,
    LARGEST_PACK,
    MANIFEST,
    MOST_FILES,
    Listed,
    PackError,
    checksum,
    is_plain_path,
    read_list,
)
from companion.exercise.sources import FILE_NAME

_END = b"PK\x05\x06"
_END_OF_LONG = b"PK\x06\x07"
_LONGEST_COMMENT = 1 << 16
_AGAIN = "Ask for the pack again."

_BROKEN = (BadZipFile, struct.error, zlib.error, EOFError, NotImplementedError, RuntimeError)
"""What the standard reader raises for a file that is damaged or means more than a plain one."""


def is_pack(content: bytes) -> bool:
    """Whether a file is a zip file, which an exercise file never is."""
    return content[:4] in (b"PK\x03\x04", _END)


def unpack(content: bytes, where: str) -> dict[str, bytes]:
    """The files of a pack by name, the exercise among them. Raises PackError.

    `where` is how the pack is called in sentences.
    """
    if len(content) > LARGEST_PACK:
        raise PackError(
            f"this pack is over {LARGEST_PACK // 1024**2} megabytes", where=where, next=_AGAIN
        )
    _check_directory(content, where)
    try:
        with ZipFile(BytesIO(content)) as opened:
            entries = _checked(opened.infolist(), where)
            listed = read_list(_read(opened, entries.pop(MANIFEST), LARGEST_LIST, where), where)
            _check_names(set(entries), set(listed), where)
            _check_sizes(listed, where)
            return dict(_contents(opened, entries, listed, where))
    except (*_BROKEN, ValueError, OSError, OverflowError, KeyError):
        raise PackError("this pack is damaged", where=where, next=_AGAIN) from None


def _check_directory(content: bytes, where: str) -> None:
    """The directory at the end of a zip file: its count and its size, before it is read."""
    tail = content[-(22 + _LONGEST_COMMENT) :]
    at = tail.rfind(_END)
    if at < 0 or len(tail) - at < 22:
        raise PackError("this is no pack, or its end is missing", where=where, next=_AGAIN)
    count, size = struct.unpack("<HI", tail[at + 10 : at + 16])
    before = len(content) - len(tail) + at
    is_long = _END_OF_LONG in content[max(0, before - 20) : before]
    if count > MOST_FILES + 1 or size > (MOST_FILES + 1) * 1024 or is_long:
        raise PackError(f"this pack holds more than {MOST_FILES} files", where=where, next=_AGAIN)


def _checked(entries: list[ZipInfo], where: str) -> dict[str, ZipInfo]:
    """The entries by name; each a plain file with a name that stays inside."""
    found: dict[str, ZipInfo] = {}
    for entry in entries:
        mode = entry.external_attr >> 16
        name = entry.orig_filename
        if S_IFMT(mode) and not S_ISREG(mode):
            raise _bad(f"“{_shown(name)}” is a link or a folder", where)
        if name != entry.filename or not is_plain_path(name):
            raise _bad(f"a file in it is called “{_shown(name)}”", where)
        if entry.flag_bits & 1:
            raise _bad(f"“{_shown(name)}” is locked with a password", where)
        if entry.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
            raise _bad(f"“{_shown(name)}” is compressed in a way that is not read here", where)
        if name.casefold() in {other.casefold() for other in found}:
            raise _bad(f"“{_shown(name)}” is there twice", where)
        found[name] = entry
    if MANIFEST not in found:
        raise PackError("this is a zip file, but no pack", where=where, next=_HOW)
    return found


_HOW = "Unpack it, and open the exercise file inside."


def _check_names(there: set[str], listed: set[str], where: str) -> None:
    if there != listed:
        odd = sorted(there ^ listed)[0]
        raise _bad(f"“{_shown(odd)}” is in the pack or on its list, but not on both", where)
    if FILE_NAME not in there:
        raise _bad("there is no exercise in it", where)


def _check_sizes(listed: dict[str, Listed], where: str) -> None:
    if sum(one.size for one in listed.values()) > LARGEST:
        raise _bad(f"its files are over {LARGEST // 1024**2} megabytes together", where)


def _contents(
    opened: ZipFile, entries: dict[str, ZipInfo], listed: dict[str, Listed], where: str
) -> Iterator[tuple[str, bytes]]:
    for name, entry in entries.items():
        told = listed[name]
        content = _read(opened, entry, told.size, where)
        if len(content) != told.size or checksum(content) != told.sha256:
            raise _bad(f"“{_shown(name)}” is not as it was when it was packed", where)
        yield name, content


def _read(opened: ZipFile, entry: ZipInfo, most: int, where: str) -> bytes:
    """A file of at most so many bytes; more is not even looked at."""
    with opened.open(entry) as stream:
        content = stream.read(most + 1)
    if len(content) > most:
        raise _bad(f"“{_shown(entry.filename)}” is larger than it says", where)
    return content


def _bad(what: str, where: str) -> PackError:
    return PackError(f"this pack is not opened: {what}", where=where, next=_AGAIN)


def _shown(name: str) -> str:
    plain = "".join(letter if letter.isprintable() else "?" for letter in name)
    return plain if len(plain) <= 60 else f"{plain[:59]}…"

"""Reading a zip file that came from somebody: never more of it than its reader allows.

A zip can claim to hold little and unpack to a disk full, or hold so many entries that their
list alone fills the memory. Nothing is ever written from it here, so no name can lead out
of a folder.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from zipfile import BadZipFile, ZipFile, ZipInfo

_END = b"PK\x05\x06"
_END_OF_LONG = b"PK\x06\x07"
_LONGEST_COMMENT = 1 << 16
_NAME_AND_MORE = 1024
"""Bytes of the directory that an entry may take."""


class ZipDamagedError(Exception):
    """What looks like a zip file cannot be read as one."""


class ZipLockedError(Exception):
    """It is encrypted, or packed in a way that is not known here."""


class TooManyFilesError(Exception):
    """It holds more files than its reader allows."""


class TooLargeError(Exception):
    """An entry unpacks to more than its reader allows."""


@contextmanager
def zip_container(content: bytes, most_files: int) -> Iterator[ZipFile]:
    """A zip file to read from, of at most so many files.

    Raises TooManyFilesError before the directory is read; ZipDamagedError and
    ZipLockedError also for what reading from it raises within the block.
    """
    _check_directory(content, most_files)
    try:
        with ZipFile(BytesIO(content)) as archive:
            yield archive
    except (RuntimeError, NotImplementedError):
        raise ZipLockedError from None
    except (
        BadZipFile,
        struct.error,
        zlib.error,
        EOFError,
        OSError,
        ValueError,
        LookupError,
        OverflowError,
    ):
        raise ZipDamagedError from None


def unpacked(archive: ZipFile, entry: ZipInfo, most: int) -> bytes:
    """An entry of at most so many bytes, whatever size it claims. Raises TooLargeError."""
    with archive.open(entry) as stream:
        content = stream.read(most + 1)
    if len(content) > most:
        raise TooLargeError
    return content


def _check_directory(content: bytes, most_files: int) -> None:
    """The record at the end of a zip file: how many entries, and how long their directory is
    (PKWARE, APPNOTE.TXT 4.3.16). The long form (4.3.15) is only needed for far too many."""
    tail = content[-(22 + _LONGEST_COMMENT) :]
    at = tail.rfind(_END)
    if at < 0 or len(tail) - at < 22:
        raise ZipDamagedError
    count, size = struct.unpack("<HI", tail[at + 10 : at + 16])
    before = len(content) - len(tail) + at
    is_long = _END_OF_LONG in content[max(0, before - 20) : before]
    if count > most_files or size > most_files * _NAME_AND_MORE or is_long:
        raise TooManyFilesError

"""The form of a pack: an exercise and its scores in one zip file, with a list of contents.

A pack comes by mail from somebody, or from somebody who only looks like it. Nothing in it
is believed: not the names (they may lead out of the folder), not the sizes (they may be a
thousand times larger), not the count, not the content (it may have been damaged on the
way). The checksums show accidents; they are no signature and show no forger.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from stat import S_IFMT, S_ISREG
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from companion.errors import CompanionError
from companion.exercise.drill_on_score import FILE_NAME
from companion.exercise.file.exercise_schema import PLAIN_PATH
from companion.files.zip_container import (
    TooLargeError,
    TooManyFilesError,
    ZipDamagedError,
    ZipLockedError,
    unpacked,
    zip_container,
)

_FORMAT = 1
"""The version that is written, and the latest that is read."""
ENDING = ".exercise"
"""How the name of a pack ends."""
MANIFEST = "manifest.json"
"""The list of contents, first in the pack."""
_KIND = "companion exercise"
"""What the list says the pack is."""
MOST_FILES = 100
"""Files in a pack at most, the list not counted."""
LARGEST_PACK = 50 * 1024 * 1024
"""Bytes of a pack at most."""
_LARGEST = 100 * 1024 * 1024
"""Bytes of everything in it at most."""
LARGEST_LIST = 256 * 1024
"""Bytes of the list of contents at most."""

_LONGEST_NAME = 240
_MOST_REVISIONS = 10_000


class PackError(CompanionError):
    """A pack cannot be opened; nothing was written."""


@dataclass(frozen=True, slots=True)
class PackRevision:
    """Which version of an exercise a pack holds."""

    first: str
    """The id of the first version, 64 hexadecimal digits."""
    number: int
    """From 1, one more for each correction."""


@dataclass(frozen=True, slots=True)
class ListedFile:
    """What the list says of one file."""

    size: int
    """Bytes."""
    sha256: str
    """Checksum, lower-case hex."""


def is_plain_path(name: str) -> bool:
    """Whether a name stays in its folder and can be written on every system."""
    return 0 < len(name) <= _LONGEST_NAME and re.search(PLAIN_PATH, name) is not None


def checksum(content: bytes) -> str:
    """SHA-256 (FIPS 180-4) in lower-case hex."""
    return sha256(content).hexdigest()


def identity(files: Mapping[str, bytes]) -> str:
    """What an exercise with its scores is known by."""
    return checksum(write_list(files))


def write_list(files: Mapping[str, bytes], revision: PackRevision | None = None) -> bytes:
    """The list of contents; the same files always give the same bytes.

    `revision` is that of a correction; a first version says none.
    """
    listed = {
        name: {"size": len(content), "sha256": checksum(content)}
        for name, content in sorted(files.items())
    }
    told: dict[str, object] = {"kind": _KIND, "format": _FORMAT, "files": listed}
    if revision is not None:
        told |= {"first": revision.first, "revision": revision.number}
    return json.dumps(told, indent=1, ensure_ascii=True).encode() + b"\n"


def read_list(content: bytes, where: str) -> dict[str, ListedFile]:
    """What a list of contents says. Raises PackError."""
    try:
        told = json.loads(content.decode("utf-8"))
        if told["kind"] != _KIND:
            raise _strange(where)
        if isinstance(told["format"], int) and told["format"] > _FORMAT:
            raise PackError(
                f"this pack is in format {told['format']}, and this companion reads {_FORMAT}",
                where=where,
                next="Update companion, then open it again.",
            )
        return {name: _listed(entry) for name, entry in told["files"].items()}
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise _strange(where) from None


def _revision(content: bytes, where: str) -> PackRevision | None:
    """What a list of contents says of its version; None for a first one. Raises PackError."""
    told = json.loads(content.decode("utf-8"))
    if "first" not in told and "revision" not in told:
        return None
    first, number = told.get("first"), told.get("revision")
    is_good = isinstance(first, str) and re.fullmatch("[0-9a-f]{64}", first)
    if not is_good or type(number) is not int or not 2 <= number <= _MOST_REVISIONS:
        raise _strange(where)
    return PackRevision(first, number)


def _listed(entry: Mapping[str, object]) -> ListedFile:
    size, digest = entry["size"], entry["sha256"]
    if not isinstance(size, int) or not isinstance(digest, str) or size < 0:
        raise ValueError
    return ListedFile(size, digest)


def _strange(where: str) -> PackError:
    return PackError(
        "its list of contents is not that of an exercise",
        where=where,
        next="Ask for the pack again, made with companion exercise pack.",
    )


# An exercise and its scores into one file.


_NO_DATE = (1980, 1, 1, 0, 0, 0)
"""The earliest a zip file can say: a pack tells what is in it, not when it was made."""


def pack(files: Mapping[str, bytes], revision: PackRevision | None = None) -> bytes:
    """A pack of these files by name. The same files always give the same bytes.

    `revision` is that of a correction; a first version needs none.
    Raises PackError for what could not be opened again.
    """
    _check(files)
    out = BytesIO()
    with ZipFile(out, "w") as made:
        _add(made, MANIFEST, write_list(files, revision), ZIP_STORED)
        for name, content in sorted(files.items()):
            _add(made, name, content, ZIP_DEFLATED)
    return out.getvalue()


def _add(made: ZipFile, name: str, content: bytes, how: int) -> None:
    entry = ZipInfo(name, _NO_DATE)
    entry.compress_type = how
    entry.create_system = 3  # the same on every system, with permissions that say "a file"
    entry.external_attr = 0o100644 << 16
    made.writestr(entry, content, compresslevel=9)


def _check(files: Mapping[str, bytes]) -> None:
    if len(files) > MOST_FILES:
        raise PackError(f"a pack holds at most {MOST_FILES} files", next="Use fewer scores.")
    if sum(map(len, files.values())) > _LARGEST:
        raise PackError(
            f"these scores are over {_LARGEST // 1024**2} megabytes together",
            next="Send shorter excerpts.",
        )
    for name in files:
        if name.casefold() == MANIFEST or not is_plain_path(name):
            raise PackError(f"a file cannot be called “{name}” in a pack", next="Rename it.")
    if len({name.casefold() for name in files}) < len(files):
        raise PackError("two files in it differ only in capital letters", next="Rename one.")


# What is in a pack, once everything about it was checked. Nothing is written here.


_AGAIN = "Ask for the pack again."


def is_pack(content: bytes) -> bool:
    """Whether a file is a zip file, which an exercise file never is."""
    return content[:4] in (b"PK\x03\x04", b"PK\x05\x06")


def unpack(content: bytes, where: str) -> tuple[dict[str, bytes], PackRevision]:
    """The files of a pack by name, the exercise among them, and its version. Raises PackError.

    `where` is how the pack is called in sentences.
    """
    if len(content) > LARGEST_PACK:
        raise PackError(
            f"this pack is over {LARGEST_PACK // 1024**2} megabytes", where=where, next=_AGAIN
        )
    try:
        with zip_container(content, MOST_FILES + 1) as opened:
            entries = _checked(opened.infolist(), where)
            told = _read(opened, entries.pop(MANIFEST), LARGEST_LIST, where)
            listed = read_list(told, where)
            _check_names(set(entries), set(listed), where)
            _check_sizes(listed, where)
            files = dict(_contents(opened, entries, listed, where))
            return files, _revision(told, where) or PackRevision(identity(files), 1)
    except TooManyFilesError:
        raise PackError(
            f"this pack holds more than {MOST_FILES} files", where=where, next=_AGAIN
        ) from None
    except (ZipDamagedError, ZipLockedError):
        raise PackError(
            "this pack is damaged, or its end is missing", where=where, next=_AGAIN
        ) from None


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
        raise PackError("this is a zip file, but not a pack", where=where, next=_HOW)
    return found


_HOW = "Unpack it, and open the exercise file inside."


def _check_names(there: set[str], listed: set[str], where: str) -> None:
    if there != listed:
        odd = sorted(there ^ listed)[0]
        raise _bad(f"“{_shown(odd)}” is in the pack or on its list, but not on both", where)
    if FILE_NAME not in there:
        raise _bad("there is no exercise in it", where)


def _check_sizes(listed: dict[str, ListedFile], where: str) -> None:
    if sum(one.size for one in listed.values()) > _LARGEST:
        raise _bad(f"its files are over {_LARGEST // 1024**2} megabytes together", where)


def _contents(
    opened: ZipFile, entries: dict[str, ZipInfo], listed: dict[str, ListedFile], where: str
) -> Iterator[tuple[str, bytes]]:
    for name, entry in entries.items():
        told = listed[name]
        content = _read(opened, entry, told.size, where)
        if len(content) != told.size or checksum(content) != told.sha256:
            raise _bad(f"“{_shown(name)}” is not as it was when it was packed", where)
        yield name, content


def _read(opened: ZipFile, entry: ZipInfo, most: int, where: str) -> bytes:
    """A file of at most so many bytes; more is not even looked at."""
    try:
        return unpacked(opened, entry, most)
    except TooLargeError:
        raise _bad(f"“{_shown(entry.filename)}” is larger than it says", where) from None


def _bad(what: str, where: str) -> PackError:
    return PackError(f"this pack is not opened: {what}", where=where, next=_AGAIN)


def _shown(name: str) -> str:
    plain = "".join(letter if letter.isprintable() else "?" for letter in name)
    return plain if len(plain) <= 60 else f"{plain[:59]}…"

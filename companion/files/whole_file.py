"""Files that are either wholly there or not at all.

A file is first written next to its place and then put there in one step, so that a full
disk or an interruption never leaves half a file under a name a player trusts. `tempfile`
is not used: it is slow to import, and most commands only read.
"""

from __future__ import annotations

import os
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from errno import EINVAL
from os.path import exists, isfile, lexists
from pathlib import Path
from typing import BinaryIO, TypeVar

from companion.errors import CompanionError
from companion.files.file_kind import DEVICE, other_kind

_Kind = TypeVar("_Kind")


class NotWritten(CompanionError):
    """A file could not be written."""


@contextmanager
def replacing(path: Path, durable: bool = False) -> Iterator[Path]:
    """A free name next to `path`; what is written under it takes the place of `path` at the end.

    A link stays a link. `durable` waits until the file is on the disk. Raises OSError, and
    what was there before stays.
    """
    try:
        place = Path(os.path.realpath(path))
        # Unpredictable, so that two writers never meet and nobody can lay a link in wait.
        beside = place.with_name(f".writing-{os.urandom(8).hex()}")
    except ValueError:
        raise OSError(EINVAL, "its name cannot be used") from None
    try:
        yield beside
        if durable:
            _onto_the_disk(beside)
        os.replace(beside, place)
        if durable:
            _onto_the_disk(place.parent)
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """A file to write into that takes the place of `path` once everything is written.

    A stream, such as /dev/stdout, is written to directly. Raises NotWritten if the disk or
    the folder refuses, and for a score, a pipe, a device or a link that somebody else put
    there; what was there before stays.
    """
    try:
        _refuse_what_is_not_ours(path)
        if _is_stream(path):
            with path.open("wb") as stream:
                yield stream
        else:
            with replacing(path) as beside, beside.open("xb") as file:
                yield file
    except OSError as error:
        raise NotWritten(
            f"the file could not be written ({error.strerror or error})",
            where=str(path),
            next="Choose another folder or make room on the disk.",
        ) from error


_STREAMS = ("/dev/stdout", "/dev/stderr", "/dev/fd/", "/proc/self/fd/")
"""What a shell hands over: whoever names one wants it written to, whatever it is."""
_HARMLESS = ("/dev/null", "/dev/full", "/dev/zero")
_HEAD, _TAIL = 4096, 512
_MOST_NAMED = 3
_SCORE = re.compile(
    rb"MThd|PK\x03\x04.{26,80}(mimetypeapplication/vnd.recordare|META-INF/container)"
    rb"|(\xef\xbb\xbf|\s)*(<.{,3000}<(score-(partwise|timewise)|mei)\b|X:\s*\d|\*\*kern|!!!)",
    re.DOTALL,
)
"""How a score begins: MIDI, a MusicXML container, MusicXML, MEI, ABC, Humdrum."""
OURS = b"companion"
"""Stands at the beginning or at the end of whatever this program writes as a score."""
MARK = "written by companion"
"""Stands at the end, or among the first words, of what may be written under a name that nobody
typed: pages, parts."""
_MARKED = re.compile(
    rb"(written by |click of |ISFT.{4}|software=)companion|companion exercise",
    re.DOTALL | re.IGNORECASE,
)
"""The mark, and those of clicks and packs."""


def _is_stream(path: Path) -> bool:
    if str(path).startswith(_STREAMS):
        return exists(path)
    if not exists(path) or path.is_symlink() or other_kind(path) != DEVICE:
        return False
    return str(path) in _HARMLESS or (path.is_char_device() and _is_terminal(path))


def _refuse_what_is_not_ours(path: Path) -> None:
    """Raises NotWritten for what a slip of the hand should not replace; OSError if it cannot
    be looked at."""
    if _is_stream(path):
        return
    if exists(path) and (kind := other_kind(path)):
        raise NotWritten(f"this is {kind}", where=str(path), next="Name a file.")
    if path.is_symlink():
        raise NotWritten(
            "this is a link, and what it leads to would be replaced",
            where=str(path),
            next=f"Name the file itself: {os.path.realpath(path)}.",
        )
    elif isfile(path):
        with path.open("rb") as there:
            head = there.read(_HEAD)
            there.seek(max(0, path.stat().st_size - _TAIL))
            if _SCORE.match(head) and OURS not in head and OURS not in there.read():
                raise NotWritten(
                    "there is a score of that name, and it would be replaced",
                    where=str(path),
                    next="Name another file, or move the score elsewhere.",
                )


def _is_terminal(path: Path) -> bool:
    with path.open("wb", buffering=0) as stream:
        return stream.isatty()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole. Raises NotWritten as `whole_file` does."""
    with whole_file(path) as file:
        file.write(content)


def write_all(contents: Mapping[Path, bytes], typed: Collection[Path]) -> None:
    """Write several files. Raises NotWritten before the first is written if one of those that
    were not `typed` would replace somebody's file, or one of all cannot be replaced."""
    refuse_untyped(path for path in contents if path not in typed)
    for path in contents:
        _refuse_what_is_not_ours(path)
    for path, content in contents.items():
        write_whole(path, content)


def refuse_untyped(paths: Iterable[Path]) -> None:
    """Raises NotWritten, naming them, if there are files under names that nobody typed, unless
    this program wrote them: whoever names week.json does not mean a week.html of their own."""
    there = [path for path in paths if lexists(path) and not _is_marked(path)]
    if there:
        names = ", ".join(map(str, there[:_MOST_NAMED]))
        more = f" and {len(there) - _MOST_NAMED} more" if len(there) > _MOST_NAMED else ""
        them = "it" if len(there) == 1 else "them"
        raise NotWritten(
            f"{names}{more} would be replaced, and companion did not write {them}",
            next=f"Choose another name, or move {them} elsewhere.",
        )


def _is_marked(path: Path) -> bool:
    try:
        if path.is_symlink() or other_kind(path):
            return False
        with path.open("rb") as there:
            head = there.read(_HEAD)
            there.seek(max(0, path.stat().st_size - _TAIL))
            return _MARKED.search(head + there.read()) is not None
    except OSError:
        return False


# What the program keeps for itself, in folders it makes.


def make_own_folder(path: Path) -> None:
    """Make a folder of the program's own, with all above it that are missing, for this user
    alone: what somebody practises is nobody else's business. Raises OSError."""
    missing = [path]
    while not exists(missing[-1]) and missing[-1].parent != missing[-1]:
        missing.append(missing[-1].parent)
    for folder in reversed(missing):
        folder.mkdir(mode=0o700, exist_ok=True)


def make_own_file(path: Path) -> None:
    """Make an empty file that only this user can read, unless there is one. Raises OSError."""
    with suppress(FileExistsError):
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))


def keep_file(path: Path, content: bytes) -> None:
    """Write a file of our own whole, with its folder. Raises NotWritten."""
    try:
        make_own_folder(path.parent)
        with replacing(path) as beside:
            make_own_file(beside)
            beside.write_bytes(content)
    except OSError as error:
        raise NotWritten(
            f"this could not be kept ({error.strerror or error})",
            where=str(path),
            next="Make its folder writable, or make room on the disk.",
        ) from error


def kept_file(path: Path) -> bytes | None:
    """What is kept there; None if nothing can be read."""
    try:
        return path.read_bytes()
    except OSError:
        return None


def _onto_the_disk(path: Path) -> None:
    """Asks the system to have it on the disk now; a folder only where it can be asked."""
    with suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


# Small JSON files that the program keeps for a player: choices, habits, plans.


def kept_json(path: Path, kind: type[_Kind]) -> _Kind | None:
    """What is kept at a path, as a struct or a dataclass; None if it is missing or damaged."""
    import msgspec  # most of what writes files needs none of it

    content = kept_file(path)
    try:
        return None if content is None else msgspec.json.decode(content, type=kind)
    except (msgspec.MsgspecError, ValueError, RecursionError):
        return None


def keep_json(path: Path, kept: object) -> None:
    """Keep a struct or a dataclass, its fields as keys. Raises NotWritten."""
    import msgspec

    keep_file(path, msgspec.json.format(msgspec.json.encode(kept), indent=1))

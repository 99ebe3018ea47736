"""Files that are either wholly there or not at all.

A file is first written next to its place and then put there in one step, so that a full
disk or an interruption never leaves half a file under a name a player trusts. `tempfile`
is not used: it is slow to import, and most commands only read.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from errno import EINVAL
from pathlib import Path
from typing import BinaryIO, TypeVar

from companion.errors import CompanionError

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

    What is no regular file, such as /dev/stdout, is written to directly. Raises NotWritten
    if the disk or the folder refuses; what was there before stays.
    """
    try:
        if path.exists() and not path.is_file():
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


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole. Raises NotWritten as `whole_file` does."""
    with whole_file(path) as file:
        file.write(content)


# What the program keeps for itself, in folders it makes.


def make_own_folder(path: Path) -> None:
    """Make a folder of the program's own, with all above it that are missing, for this user
    alone: what somebody practises is nobody else's business. Raises OSError."""
    missing = [path]
    while not missing[-1].exists() and missing[-1].parent != missing[-1]:
        missing.append(missing[-1].parent)
    for folder in reversed(missing):
        folder.mkdir(mode=0o700, exist_ok=True)


def keep_file(path: Path, content: bytes) -> None:
    """Write a file of our own whole, with its folder. Raises NotWritten."""
    try:
        make_own_folder(path.parent)
        with replacing(path) as beside:
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

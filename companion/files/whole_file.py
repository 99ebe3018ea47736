"""Files that are either wholly there or not at all.

A click that replaces an older one is first written beside it and then put in its place
in one step, so that a full disk or an interruption never leaves half a file under the
name a player trusts.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from companion.errors import CompanionError


class NotWritten(CompanionError):
    """A file could not be written."""


@contextmanager
def whole_file(path: Path) -> Iterator[BinaryIO]:
    """A file to write into that takes the place of `path` once everything is written.

    Raises NotWritten where the disk or the folder refuses; what was there before stays.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with beside.open("wb") as file:
            yield file
        beside.replace(path)
    except OSError as error:
        raise NotWritten(
            f"the file could not be written ({error.strerror or error})",
            where=str(path),
            next="Choose another folder or make room on the disk.",
        ) from error
    finally:
        with suppress(OSError):
            beside.unlink(missing_ok=True)


# Small files that must never be found half written: put beside their place, then moved in.


def keep_small_file(place: Path, content: bytes) -> None:
    """Write a file whole. Raises CompanionError where it cannot be written."""
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=place.parent, prefix=".writing-")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(content)
            os.replace(beside, place)
        except OSError:
            os.unlink(beside)
            raise
    except OSError as problem:
        raise CompanionError(
            f"this could not be kept ({problem.strerror})",
            where=str(place),
            next="Check that the folder can be written to and that the disk is not full.",
        ) from None


def kept_small_file(place: Path) -> bytes | None:
    """What was kept there; None where nothing can be read."""
    try:
        return place.read_bytes()
    except OSError:
        return None

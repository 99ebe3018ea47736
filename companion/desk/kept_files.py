"""Small files that must never be found half written: put beside their place, then moved in."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from companion.errors import CompanionError


def keep(place: Path, content: bytes) -> None:
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


def kept(place: Path) -> bytes | None:
    """What was kept there; None where nothing can be read."""
    try:
        return place.read_bytes()
    except OSError:
        return None

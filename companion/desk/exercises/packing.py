"""An exercise with its scores into one file that can be sent."""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import mkstemp

from companion.desk.exercises.looking import Looked
from companion.errors import CompanionError
from companion.exercise.pack.form import ENDING
from companion.exercise.pack.packing import pack


def write_pack(looked: Looked, path: Path) -> Path:
    """Write the pack, its name ending as packs do. Returns where it lies.

    Raises CompanionError where it cannot be written; then nothing is.
    """
    if path.suffix.casefold() != ENDING:
        path = path.with_name(path.name + ENDING)
    write_whole(path, pack(looked.files))
    return path


def write_whole(path: Path, content: bytes) -> None:
    """Write a file wholly or not at all. Raises CompanionError."""
    try:
        handle, beside = mkstemp(dir=path.parent, prefix=".writing-")
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(content)
            os.chmod(beside, 0o644)
            os.replace(beside, path)
        except BaseException:
            os.unlink(beside)
            raise
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "its name cannot be used"
        raise CompanionError(
            f"this file could not be written ({reason})",
            where=str(path),
            next="Choose another place.",
        ) from None

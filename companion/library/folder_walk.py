"""Finding every file in a folder that may be a score, whatever the folder holds.

A link may lead back to where the walk came from, a name may belong to a pipe that never
answers, and a folder may be closed: the walk visits each folder once, opens nothing, and
puts down in a sentence what it could not look into.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from stat import S_ISDIR, S_ISREG

from companion.errors import CompanionError
from companion.files.score_paths import SCORE_ENDINGS

Identity = tuple[int, int]


@dataclass(frozen=True, slots=True)
class FoundFile:
    """A file with the name of a score, or a folder that could not be looked into."""

    where: bytes
    """Its path from the library's folder on, as the disk spells it."""
    size: int = 0
    """Bytes."""
    mtime: int = 0
    """When it was last changed, in nanoseconds as the disk counts them."""
    problem: str = ""
    """Why it is not even worth opening; empty if it is."""


def checked_library_folder(folder: Path) -> Path:
    """The absolute path of a folder. Raises CompanionError if none can be looked into."""
    try:
        whole = folder.expanduser().resolve()
        if not whole.exists():
            raise CompanionError(
                "there is no such folder", where=str(folder), next="Check the name."
            )
        if not whole.is_dir():
            raise CompanionError(
                "this is not a folder", where=str(folder), next="Name the folder it is in."
            )
        with os.scandir(whole):
            return whole
    except (OSError, RuntimeError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "its name cannot be used"
        raise CompanionError(
            f"this folder cannot be looked into ({reason})",
            where=str(folder),
            next="Check its permissions.",
        ) from None


def walk(folder: Path, avoid: Path, checked: Callable[[int, str], bool]) -> dict[bytes, FoundFile]:
    """Every score in an absolute folder and in those below it, hidden ones left out, by path.

    `avoid` is a folder not to enter (the cache, if it lies inside). `checked` is told how many
    were found so far and the folder entered next; where it returns False the walk ends.
    """
    seen = {identity for above in (avoid, *folder.parents) if (identity := _identity(above))}
    found: dict[bytes, FoundFile] = {}
    waiting = [b""]
    root = os.fsencode(folder)
    while waiting:
        inner = waiting.pop()
        if not checked(len(found), os.fsdecode(inner)):
            break
        here = os.path.join(root, inner) if inner else root
        identity = _identity(here)
        if identity is None or identity not in seen:
            seen |= {identity} if identity else set()
            files, below = _inside(here, inner)
            found.update((one.where, one) for one in files)
            waiting += sorted(below, reverse=True)
    return found


def _inside(here: bytes, inner: bytes) -> tuple[list[FoundFile], list[bytes]]:
    """The scores and the folders of one folder."""
    files: list[FoundFile] = []
    below: list[bytes] = []
    try:
        with os.scandir(here) as entries:
            for entry in entries:
                if entry.name.startswith(b"."):
                    continue
                where = os.path.join(inner, entry.name)
                if _is_folder(entry):
                    below.append(where)
                elif os.path.splitext(os.fsdecode(entry.name))[1].casefold() in SCORE_ENDINGS:
                    files.append(_found(entry, where))
    except OSError as problem:
        told = f"This folder cannot be looked into ({problem.strerror}). Check its permissions."
        files.append(FoundFile(inner, problem=told))
    return files, below


def _found(entry: os.DirEntry[bytes], where: bytes) -> FoundFile:
    try:
        about = entry.stat()
    except OSError as problem:
        return FoundFile(where, problem=f"This file cannot be read ({problem.strerror}).")
    if not S_ISREG(about.st_mode):
        return FoundFile(where, problem="This is not a file.")
    return FoundFile(where, about.st_size, about.st_mtime_ns)


def _is_folder(entry: os.DirEntry[bytes]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _identity(folder: Path | bytes) -> Identity | None:
    """What tells a folder from every other one, under whichever name it is reached."""
    try:
        about = os.stat(folder)
    except OSError:
        return None
    return (about.st_dev, about.st_ino) if S_ISDIR(about.st_mode) else None

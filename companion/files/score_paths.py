"""Paths of scores: while one is typed, and where a score lay last."""

from __future__ import annotations

import re
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.files.whole_file import keep_file, kept_file

SCORE_ENDINGS = frozenset(
    {".musicxml", ".mxl", ".xml", ".krn", ".mei", ".abc", ".mid", ".midi", ".rntxt"}
)
"""How the names of files end that may hold a score."""


def completions(typed: str) -> list[str]:
    """Paths that begin with what was typed, folders first and ending in a slash.

    Only folders and files that may hold a score; hidden ones only once their dot was typed.
    A folder that cannot be looked into has nothing to offer.
    """
    head, slash, begin = typed.rpartition("/")
    try:
        folder = Path(head + slash).expanduser() if slash else Path()
        entries = sorted(folder.iterdir(), key=lambda entry: entry.name.casefold())
        fitting = [
            entry
            for entry in entries
            if entry.name.casefold().startswith(begin.casefold())
            and (begin.startswith(".") or not entry.name.startswith("."))
        ]
        folders = [f"{head}{slash}{entry.name}/" for entry in fitting if entry.is_dir()]
        files = [
            f"{head}{slash}{entry.name}"
            for entry in fitting
            if entry.suffix.casefold() in SCORE_ENDINGS and entry.is_file()
        ]
    except (OSError, RuntimeError, ValueError):
        return []
    return folders + files


def common_beginning(paths: list[str]) -> str:
    """The longest beginning that all paths share; empty for no paths."""
    if not paths:
        return ""
    shortest, longest = min(paths), max(paths)
    for index, letter in enumerate(shortest):
        if index == len(longest) or longest[index] != letter:
            return shortest[:index]
    return shortest


def as_path(typed: str) -> Path:
    """A typed path, with ~ for a home folder. Raises CompanionError if nobody has that home."""
    try:
        return Path(typed).expanduser()
    except RuntimeError:
        raise CompanionError(
            "there is no such home folder", where=typed, next="Write the whole path."
        ) from None


def whole_path(path: Path) -> Path:
    """From the root on; as it is if the folder one works in was taken away."""
    try:
        return path.absolute()
    except OSError:
        return path


# Where a score lay, by its content. A goal knows its score only by that: without a place, a
# plan made of goals could say what to practise and not open it.


def remember_place(folders: Folders, digest: str, path: Path) -> None:
    """Note where a score lies. Raises CompanionError if that cannot be written."""
    keep_file(_note(folders, digest), str(whole_path(path.expanduser())).encode("utf-8", "replace"))


def remembered_place(folders: Folders, digest: str) -> Path | None:
    """Where a score lay when that was noted last; None if it never was."""
    if not re.fullmatch("[0-9a-f]+", digest):
        return None
    noted = kept_file(_note(folders, digest))
    return Path(noted.decode("utf-8", "replace")) if noted else None


def _note(folders: Folders, digest: str) -> Path:
    return folders.data / "places" / f"{digest}.txt"

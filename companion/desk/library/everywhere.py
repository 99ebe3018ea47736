"""Every library that was ever indexed, searched as one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from companion.desk.folders import Folders
from companion.desk.library.entry import Index, file_of
from companion.desk.library.search import search
from companion.desk.library.shelf import known_libraries, load_index
from companion.errors import CompanionError


@dataclass(frozen=True, slots=True)
class FoundScore:
    """A score that fits what was searched for."""

    path: Path
    """Where it lies."""
    title: str
    """Its title, as it may be shown."""
    parts: int
    """How many parts it has."""


def indexes(folders: Folders) -> tuple[Index, ...]:
    """The indexes of all libraries known so far; none where they cannot be read."""
    try:
        kept = [load_index(folders, folder) for folder in known_libraries(folders)]
    except CompanionError:
        return ()
    return tuple(index for index in kept if index is not None)


def found_in(known: Iterable[Index], text: str, most: int = 50) -> list[FoundScore]:
    """Scores of any library that fit all words, in order of libraries and titles."""
    found: dict[Path, FoundScore] = {}
    for index in known:
        for entry in search(index, text):
            path = file_of(index, entry)
            found.setdefault(path, FoundScore(path, entry.title, len(entry.parts)))
            if len(found) == most:
                return list(found.values())
    return list(found.values())

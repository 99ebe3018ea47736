"""Where indexes are kept: in the cache folder, one compact file for each library.

Each is kept as a score in the cache is: two programs may write at once, a damaged file
counts as absent and is made afresh, and no index can be worse than out of date.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import blake2b
from os.path import isdir
from pathlib import Path
from typing import Any, TypeVar

import msgspec

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.library.indexed_score import Index, IndexedScore, file_of
from companion.library.search import folded, search
from companion.score import cache

SHAPE = 1
"""Raise whenever an entry says other things, or says them otherwise, of the same score."""

_FIELDS = IndexedScore.__struct_fields__
_DIGITS = re.compile(r"\d+")


_Kind = TypeVar("_Kind")


class _Head(msgspec.Struct, array_like=True):
    """The beginning of an index, all that has to be read to know which folder it is of."""

    folder: bytes


def load_index(folders: Folders, folder: Path) -> Index | None:
    """What is known of a folder; None if it was never indexed or the index is damaged."""
    try:
        whole = os.fsencode(folder.expanduser().resolve())
    except (OSError, RuntimeError, ValueError):
        return None
    return _decoded(_place(folders, whole), Index)


def keep_index(folders: Folders, index: Index) -> None:
    """Keep an index. A folder that cannot be written to is no reason to fail."""
    cache.keep_entry(_place(folders, index.folder), msgspec.msgpack.encode(index))


def index_of(folder: Path, entries: Iterable[IndexedScore]) -> Index:
    """An index with its entries in order."""
    return Index(os.fsencode(folder), tuple(sorted(entries, key=_order)))


def known_libraries(folders: Folders) -> list[Path]:
    """Every folder that was indexed and is still there, in order of path."""
    return sorted(path for path in _known(folders) if isdir(path))


def _known(folders: Folders) -> Iterator[Path]:
    for place in (folders.cache / "libraries").glob(f"*.{SHAPE}.index"):
        head = _decoded(place, _Head)
        if head is not None:
            yield Path(os.fsdecode(head.folder))


def _order(entry: IndexedScore) -> tuple[str, str, bytes]:
    return _counting(entry.title or entry.path), _counting(entry.path), entry.where


def _counting(text: str) -> str:
    """Text in whose order the second quartet comes before the tenth."""
    return _DIGITS.sub(lambda digits: digits[0].zfill(8), folded(text))


def _place(folders: Folders, folder: bytes) -> Path:
    name = blake2b(folder, digest_size=16).hexdigest()
    return folders.cache / "libraries" / f"{name}.{SHAPE}.index"


def _decoded(place: Path, kind: type[_Kind]) -> _Kind | None:
    content = cache.load_entry(place)
    try:
        if content is None:
            return None
        try:
            return msgspec.msgpack.decode(content, type=kind)
        except msgspec.ValidationError:
            return msgspec.convert(_of_now(msgspec.msgpack.decode(content)), kind)
    except (ValueError, TypeError, msgspec.MsgspecError):
        return None


def _of_now(earlier: tuple[bytes, list[list[Any]]]) -> object:
    """An index of an earlier form, whose hardest passages were sentences or whose mixed meters
    had no printed numbers, without the passages and with places.

    It can be searched; having no version of the reader, its files are read afresh next time.
    """
    folder, entries = earlier
    reader, hardest, mixed = map(_FIELDS.index, ("reader", "hardest", "mixed"))
    for entry in entries:
        entry[reader], entry[hardest] = 0, ()
        entry[mixed] = [(*span[:2], f"@{span[0]}–@{span[1]}") for span in entry[mixed]]
    return folder, entries


# Every library that was ever indexed, searched as one.


@dataclass(frozen=True, slots=True)
class FoundScore:
    """A score that fits what was searched for."""

    path: Path
    """Where it lies."""
    where: str
    """The same from its library's folder on, as it may be shown."""
    title: str
    """Its title, as it may be shown."""
    composer: str
    """Empty if none is named."""
    parts: int
    """How many parts it has."""


def indexes(folders: Folders) -> tuple[Index, ...]:
    """The indexes of all libraries known so far; none where they cannot be read."""
    try:
        kept = [load_index(folders, folder) for folder in known_libraries(folders)]
    except CompanionError:
        return ()
    return tuple(index for index in kept if index is not None)


def found_in(known: Iterable[Index], text: str) -> list[FoundScore]:
    """Scores of any library that fit all words, in order of libraries and titles; every one
    without a word."""
    found: dict[Path, FoundScore] = {}
    for index in known:
        for entry in search(index, text):
            path = file_of(index, entry)
            found.setdefault(
                path, FoundScore(path, entry.path, entry.title, entry.composer, len(entry.parts))
            )
    return list(found.values())

"""A folder of scores as a library: looked through once, then searched in an instant.

A second look reads only what has changed. What was read is written down every few seconds,
so that a run that was stopped goes on from there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from time import monotonic

from companion.files.folders import Folders
from companion.library.folder_walk import FoundFile, checked_library_folder, walk
from companion.library.index_store import index_of, keep_index, load_index
from companion.library.indexed_score import Index, IndexedScore, shown_text
from companion.score.cache import READER_VERSION

IndexProgress = Callable[[int, int, str], None]
"""Told how many files are done, of how many, and the name of the last one. While the folder
is still being looked through: 0, how many were found, and the folder being looked into."""

KEEP_EVERY = 3.0
"""Seconds after which what was read is written down."""


def update_index(
    folders: Folders,
    folder: Path,
    *,
    progress: IndexProgress | None = None,
    cancelled: Callable[[], bool] | None = None,
    again: bool = False,
) -> Index:
    """Bring the index of a folder up to date and keep it; `again` reads every file afresh.

    A file that cannot be read becomes an entry that says why. Once `cancelled` says so the
    index is returned as far as it came. Raises CompanionError if the folder cannot be
    looked into.
    """
    whole = checked_library_folder(folder)
    tell = progress or _tell_nobody
    is_cancelled = cancelled or _never

    def checked(count: int, inner: str) -> bool:
        tell(0, count, shown_text(inner))
        return not is_cancelled()

    found = walk(whole, folders.cache, checked)
    if is_cancelled():
        return load_index(folders, whole) or index_of(whole, ())
    book = _Book(folders, whole, found, again=again)
    try:
        book.read(tell, is_cancelled)
    finally:
        book.keep()
    return index_of(whole, book.entries.values())


class _Book:
    """An index while it is being made."""

    def __init__(
        self, folders: Folders, folder: Path, found: Mapping[bytes, FoundFile], *, again: bool
    ) -> None:
        self.folders = folders
        self.folder = folder
        self.found = found
        self.entries = {
            where: IndexedScore(where, file.size, file.mtime, READER_VERSION, problem=file.problem)
            for where, file in found.items()
            if file.problem
        }
        self._adopt(load_index(folders, folder))
        self.stale = [
            file
            for where, file in found.items()
            if where not in self.entries or (again and not file.problem)
        ]
        self._kept_at = monotonic()

    def read(self, tell: IndexProgress, is_cancelled: Callable[[], bool]) -> None:
        """Read what is not known yet, and keep it every now and then."""
        from companion.library.worker_pool import read_all

        with closing(
            read_all(self.folder, self.stale, self.folders.cache, is_cancelled)
        ) as entries:
            for done, entry in enumerate(entries, 1):
                self.entries[entry.where] = entry
                tell(done, len(self.stale), entry.path)
                if monotonic() - self._kept_at >= KEEP_EVERY:
                    self.keep()

    def keep(self) -> None:
        """Write down what is known, with what another program found out meanwhile."""
        other = load_index(self.folders, self.folder)
        self._adopt(other)
        index = index_of(self.folder, self.entries.values())
        if index != other:
            keep_index(self.folders, index)
        self._kept_at = monotonic()

    def _adopt(self, index: Index | None) -> None:
        """Take over whatever still holds of an index that was kept."""
        for entry in index.entries if index else ():
            file = self.found.get(entry.where)
            if file is not None and entry.where not in self.entries and _holds(entry, file):
                self.entries[entry.where] = entry


def _holds(entry: IndexedScore, file: FoundFile) -> bool:
    """Whether an entry still says what the file would; never where its bytes were not read."""
    then = (entry.size, entry.mtime, entry.reader)
    return bool(entry.digest) and then == (file.size, file.mtime, READER_VERSION)


def _tell_nobody(done: int, total: int, name: str) -> None:
    """Progress for nobody."""


def _never() -> bool:
    return False

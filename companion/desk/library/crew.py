"""Many files read beside each other, and what becomes of a reader that falls.

A process that falls takes nothing along but itself: the files it may have held are tried
again one by one, and the one over which a process falls a second time is set down as
unreadable. So no file, however odd, ends the run for the others.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Future, wait
from pathlib import Path

from companion.desk.library.entry import Entry
from companion.desk.library.hiring import hire
from companion.desk.library.reading import digest_of, unread
from companion.desk.library.walk import Found
from companion.desk.library.watch import LIMIT

MOST_PROCESSES = 4
_LOOK_EVERY = 0.2


def read_all(
    folder: Path,
    files: Sequence[Found],
    cache_folder: Path,
    cancelled: Callable[[], bool],
    limit: float = LIMIT,
) -> Generator[Entry, None, None]:
    """Entries of a library's files, each as soon as it is done; ends early once cancelled.

    Close it when leaving early, an interrupted program above all: it then tells the readers
    to stop and waits for them. `limit` is how many seconds one file may take.
    """
    if not files:
        return
    crew = _Crew(folder, cache_folder, min(os.cpu_count() or 1, MOST_PROCESSES, len(files)), limit)
    try:
        yield from crew.read(deque(files), cancelled)
    finally:
        crew.hands.dismiss()


class _Crew:
    """The readers, and what is in their hands."""

    def __init__(self, folder: Path, cache_folder: Path, size: int, limit: float) -> None:
        self.folder = folder
        self.cache_folder = cache_folder
        self.size = size
        self.limit = limit
        self.held: dict[Future[Entry | None], Found] = {}
        self.suspects: deque[Found] = deque()
        self.hands = hire(size, limit)

    def read(self, files: deque[Found], cancelled: Callable[[], bool]) -> Iterator[Entry]:
        """Hand out files and take in entries."""
        while (files or self.suspects or self.held) and not cancelled():
            self._hand_out(files)
            done, _ = wait(self.held, _LOOK_EVERY, FIRST_COMPLETED)
            fallen: list[Found] = []
            for future in done:
                file, problem = self.held.pop(future), future.exception()
                if isinstance(problem, BrokenExecutor):
                    fallen.append(file)
                elif problem is not None:
                    yield _stumbled(file, problem)
                elif entry := future.result():
                    yield entry
            if fallen:
                yield from self._replace(fallen)

    def _hand_out(self, files: deque[Found]) -> None:
        """Two files for each reader, so that none has to wait; a suspect by itself."""
        if self.suspects and not self.held:
            self._give(self.suspects.popleft())
        while files and not self.suspects and len(self.held) < 2 * self.hands.size:
            self._give(files.popleft())

    def _give(self, file: Found) -> None:
        try:
            future = self.hands.give(self.folder, file, self.cache_folder)
        except BrokenExecutor as problem:
            future = Future()
            future.set_exception(problem)
        self.held[future] = file

    def _replace(self, fallen: list[Found]) -> Iterator[Entry]:
        """Start with new readers, and find out over which file the old ones fell."""
        fallen += self.held.values()
        self.held.clear()
        if len(fallen) == 1:
            digest = digest_of(self.folder / os.fsdecode(fallen[0].where))
            yield unread(fallen[0], digest, "the process that read it broke off")
        else:
            self.suspects += fallen
        self.hands.dismiss()
        self.hands = hire(self.size, self.limit)


def _stumbled(file: Found, problem: BaseException) -> Entry:
    """A fault of ours: without a digest, so that the file is tried again once it is mended."""
    return unread(file, "", f"the reader stumbled over it ({type(problem).__name__})")

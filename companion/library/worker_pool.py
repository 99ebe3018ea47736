"""Many files read side by side, and what becomes of a reader that falls.

A process that falls takes nothing along but itself: the files it may have held are tried
again one by one, and the one over which a process falls a second time is set down as
unreadable. So no file, however odd, ends the run for the others.

A pool, and not `files.child_process`: hundreds of files pay only once for starting a
process and importing the readers.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    Executor,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
    wait,
)
from dataclasses import dataclass
from multiprocessing import get_context, resource_tracker
from pathlib import Path
from threading import Event

from companion.library import worker
from companion.library.folder_walk import FoundFile
from companion.library.indexed_score import IndexedScore
from companion.library.score_summary import digest_of, read_entry, unread
from companion.library.time_limit import LIMIT, TimeLimit


@dataclass(frozen=True, slots=True)
class WorkerPool:
    """Readers at work."""

    size: int
    """How many files they read at once."""
    executor: Executor
    """What runs them."""
    reader: Callable[[Path, FoundFile, Path], IndexedScore | None]
    """How each of them reads a file of a folder, given the cache's folder."""
    say_stop: Callable[[], None]
    """Tells them to leave what they are at. Does not wait."""

    def give(
        self, folder: Path, file: FoundFile, cache_folder: Path
    ) -> Future[IndexedScore | None]:
        """Have a file read. Raises BrokenExecutor if a process fell before."""
        with _unheard():
            return self.executor.submit(self.reader, folder, file, cache_folder)

    def dismiss(self) -> None:
        """Tell them to stop and wait until they have, about a second at most."""
        self.say_stop()
        self.executor.shutdown(wait=True, cancel_futures=True)


def start_workers(size: int, limit: float) -> WorkerPool:
    """As many processes as asked for, or else one thread; `limit` is seconds for one file."""
    try:
        return _processes(size, limit)
    except (OSError, ValueError, ImportError, RuntimeError):
        return _thread(limit)


def _processes(size: int, limit: float) -> WorkerPool:
    """Raises OSError, ValueError, ImportError or RuntimeError where none can be started."""
    context = get_context("spawn")
    if sys.platform != "win32":
        # Inside a running screen this fails; any later, and it would leave a semaphore behind.
        resource_tracker.ensure_running()
    theirs, ours = context.Pipe(duplex=False)
    pool = ProcessPoolExecutor(size, context, worker.begin, (theirs, limit))

    def say_stop() -> None:
        with contextlib.suppress(OSError):
            ours.send_bytes(b".")

    try:
        with _unheard():
            answer = pool.submit(worker.is_there)
        answer.result()
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        raise
    return WorkerPool(size, pool, worker.read, say_stop)


def _thread(limit: float) -> WorkerPool:
    stopped = Event()
    watch = TimeLimit(stopped.is_set, limit)

    def read(folder: Path, found: FoundFile, cache_folder: Path) -> IndexedScore | None:
        return read_entry(folder, found, cache_folder, watch)

    return WorkerPool(1, ThreadPoolExecutor(1), read, stopped.set)


@contextlib.contextmanager
def _unheard() -> Iterator[None]:
    """What is started here does not hear Ctrl-C; this program hears it right afterwards."""
    if sys.platform == "win32":
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


MOST_PROCESSES = 4
_LOOK_EVERY = 0.2


def read_all(
    folder: Path,
    files: Sequence[FoundFile],
    cache_folder: Path,
    cancelled: Callable[[], bool],
    limit: float = LIMIT,
) -> Generator[IndexedScore, None, None]:
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
        self.held: dict[Future[IndexedScore | None], FoundFile] = {}
        self.suspects: deque[FoundFile] = deque()
        self.hands = start_workers(size, limit)

    def read(
        self, files: deque[FoundFile], cancelled: Callable[[], bool]
    ) -> Iterator[IndexedScore]:
        """Hand out files and take in entries."""
        while (files or self.suspects or self.held) and not cancelled():
            self._hand_out(files)
            done, _ = wait(self.held, _LOOK_EVERY, FIRST_COMPLETED)
            fallen: list[FoundFile] = []
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

    def _hand_out(self, files: deque[FoundFile]) -> None:
        """Two files for each reader, so that none has to wait; a suspect by itself."""
        if self.suspects and not self.held:
            self._give(self.suspects.popleft())
        while files and not self.suspects and len(self.held) < 2 * self.hands.size:
            self._give(files.popleft())

    def _give(self, file: FoundFile) -> None:
        try:
            future = self.hands.give(self.folder, file, self.cache_folder)
        except BrokenExecutor as problem:
            future = Future()
            future.set_exception(problem)
        self.held[future] = file

    def _replace(self, fallen: list[FoundFile]) -> Iterator[IndexedScore]:
        """Start with new readers, and find out over which file the old ones fell."""
        fallen += self.held.values()
        self.held.clear()
        if len(fallen) == 1:
            digest = digest_of(self.folder / os.fsdecode(fallen[0].where))
            yield unread(fallen[0], digest, "the process that read it broke off")
        else:
            self.suspects += fallen
        self.hands.dismiss()
        self.hands = start_workers(self.size, self.limit)


def _stumbled(file: FoundFile, problem: BaseException) -> IndexedScore:
    """A fault of ours: without a digest, so that the file is tried again once it is mended."""
    return unread(file, "", f"the reader stumbled over it ({type(problem).__name__})")

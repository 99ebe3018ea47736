"""Who reads: processes of our own, or one thread where none can be started.

Processes are started afresh (`spawn`), never copied from a program that may hold a sound
card, and do not hear Ctrl-C, so that one stroke stops them in order instead of each of them
falling with a traceback.
"""

from __future__ import annotations

import contextlib
import signal
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context, resource_tracker
from pathlib import Path
from threading import Event

from companion.desk.library import worker
from companion.desk.library.entry import Entry
from companion.desk.library.reading import read_entry
from companion.desk.library.walk import Found
from companion.desk.library.watch import Watch


@dataclass(frozen=True, slots=True)
class Hands:
    """Readers at work."""

    size: int
    """How many files they read at once."""
    executor: Executor
    """What runs them."""
    reader: Callable[[Path, Found, Path], Entry | None]
    """How each of them reads a file of a folder, given the cache's folder."""
    say_stop: Callable[[], None]
    """Tells them to leave what they are at. Does not wait."""

    def give(self, folder: Path, file: Found, cache_folder: Path) -> Future[Entry | None]:
        """Have a file read. Raises BrokenExecutor where a process fell before."""
        with _unheard():
            return self.executor.submit(self.reader, folder, file, cache_folder)

    def dismiss(self) -> None:
        """Tell them to stop and wait until they have, about a second at most."""
        self.say_stop()
        self.executor.shutdown(wait=True, cancel_futures=True)


def hire(size: int, limit: float) -> Hands:
    """As many processes as asked for, or else one thread; `limit` is seconds for one file."""
    try:
        return _processes(size, limit)
    except (OSError, ValueError, ImportError, RuntimeError):
        return _thread(limit)


def _processes(size: int, limit: float) -> Hands:
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
    return Hands(size, pool, worker.read, say_stop)


def _thread(limit: float) -> Hands:
    stopped = Event()
    watch = Watch(stopped.is_set, limit)

    def read(folder: Path, found: Found, cache_folder: Path) -> Entry | None:
        return read_entry(folder, found, cache_folder, watch)

    return Hands(1, ThreadPoolExecutor(1), read, stopped.set)


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

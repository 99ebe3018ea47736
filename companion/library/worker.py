"""One of the processes that read a library, started by `worker_pool.py`.

It hears neither Ctrl-C nor a terminal that closes, for then it would leave a half-read file's
folder behind. Instead an alarm looks five times a second whether the file has had its time,
whether the parent wants to stop, and whether there still is a parent.
"""

from __future__ import annotations

import signal
import sys
from multiprocessing import parent_process
from multiprocessing.connection import Connection
from pathlib import Path

from companion.library.folder_walk import FoundFile
from companion.library.indexed_score import IndexedScore
from companion.library.score_summary import read_entry
from companion.library.time_limit import TimeLimit

_EVERY = 0.2


class _Post:
    """What a worker was told when it began."""

    watch = TimeLimit(lambda: False)


def begin(line: Connection, limit: float) -> None:
    """Called once in each process. `line` says stop as soon as there is anything to hear."""
    _Post.watch = TimeLimit(lambda: line.poll(0), limit)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if sys.platform != "win32":
        signal.signal(signal.SIGHUP, signal.SIG_IGN)
        signal.signal(signal.SIGALRM, _look)
        signal.setitimer(signal.ITIMER_REAL, _EVERY, _EVERY)


def _look(*_: object) -> None:
    _Post.watch.interrupt()
    parent = parent_process()
    if not _Post.watch.is_on and parent is not None and not parent.is_alive():
        raise SystemExit


def is_there() -> bool:
    """Whether a worker could be started: it answers."""
    return True


def read(folder: Path, found: FoundFile, cache_folder: Path) -> IndexedScore | None:
    """The entry of one file; None if reading was stopped."""
    return read_entry(folder, found, cache_folder, _Post.watch)

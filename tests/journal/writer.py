"""A second window on the same log, in a process of its own: writes for a while, says what."""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

from companion.errors import CompanionError
from companion.journal.log import Log
from companion.practice.attempt import Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.revision import Revision
from tests.journal.struck import attempt, say

PATIENCE = 30


def write(folder: Path, seconds: float, stays_open: bool) -> None:
    """Attempts, corrections and entries until the time is over."""
    until = time.monotonic() + seconds
    window = Log.open(folder, patience=PATIENCE) if stays_open else None
    number = 0
    while number == 0 or time.monotonic() < until:
        if window is None:
            with Log.open(folder, patience=PATIENCE) as log:
                write_one(log, number)
        else:
            write_one(window, number)
        number += 1
    if window is not None:
        window.close()


def write_one(log: Log, number: int) -> None:
    """An attempt and its correction, an entry and its correction."""
    tried = attempt(number)
    log.note(tried)
    say("attempt", tried.id)
    log.correct(tried.id, outcome=Outcome.SECURE)
    say("corrected", tried.id)
    entry = log.entries.add(LogEntry(what=Activity.SCALES, seconds=60))
    log.entries.add(replace(entry, note="again", revision=Revision()))
    say("entry", entry.id)


if __name__ == "__main__":
    try:
        write(Path(sys.argv[1]), float(sys.argv[2]), sys.argv[3] == "open")
    except CompanionError as problem:
        say("trouble", problem.sentence())
        sys.exit(problem.exit_status)

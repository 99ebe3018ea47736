"""A program that writes to a log until it is struck down, and says what is safely done.

It says a word only after the log said that it is on the disk; whoever struck it down
holds it to those words.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

from companion.journal.backup import restore
from companion.journal.json_document import record_of
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome, now
from companion.practice.entry import Activity
from companion.practice.timer import Timer, entry_until

ENDLESS = 100_000
"""More than can be done before the blow falls."""


def say(*words: str) -> None:
    """One line, out of this process before the next thing happens."""
    sys.stdout.write(" ".join(words) + "\n")
    sys.stdout.flush()


def attempt(number: int = 0) -> Attempt:
    """The same eight bars, a little faster each time."""
    return Attempt(
        score_title="Study in two meters",
        score_digest="5e" * 32,
        score_path="/scores/study.musicxml",
        part_id="P3",
        part_name="Viola",
        first_bar=13,
        last_bar=20,
        bars_label="13–20",
        tempo=Fraction(60) + Fraction(number % 200, 2),
        beat="quarter",
        outcome=Outcome.SHAKY,
        note="again, from the upbeat",
    )


def attempts(folder: Path, _: Path) -> None:
    """Notes attempts and corrects them, opening the log for each as the screens do."""
    for number in range(ENDLESS):
        noted = attempt(number)
        with Log.open(folder) as log:
            log.note(noted)
            say("noted", noted.id)
            log.correct(noted.id, outcome=Outcome.HELD)
            say("corrected", noted.id)


CHANGES = ("noted", "corrected", "deleted", "restored")
"""What is done to each attempt, one after the other."""


def corrections(folder: Path, _: Path) -> None:
    """Notes an attempt, corrects it, deletes it and brings it back, and then the next."""
    for number in range(ENDLESS):
        noted = attempt(number)
        with Log.open(folder) as log:
            log.note(noted)
            say("noted", noted.id)
            log.correct(noted.id, outcome=Outcome.HELD, note="breathe")
            say("corrected", noted.id)
            log.correct(noted.id, is_withdrawn=True)
            say("deleted", noted.id)
            log.correct(noted.id, is_withdrawn=False)
            say("restored", noted.id)


def timers(folder: Path, _: Path) -> None:
    """Starts timers and stops them; the first one may be left over."""
    with Log.open(folder) as log:
        for _number in range(ENDLESS):
            timer = log.timers.running()
            if timer is None:
                timer = Timer(what=Activity.LESSON)
                log.timers.start(timer)
            say("started", timer.id)
            end = timer.started + timedelta(minutes=10)
            log.timers.stop(timer.id, lambda found, end=end: entry_until(found, end))  # type: ignore[misc]
            say("stopped", timer.id)


def imports(folder: Path, given: Path) -> None:
    """Joins an export to the log."""
    record = record_of(given.read_bytes(), given.name)
    with Log.open(folder) as log:
        say("begun")
        log.merge(record)
        say("imported")


def migrations(folder: Path, _: Path) -> None:
    """Opens a log in the first form, which brings it up to date, and notes an attempt."""
    with Log.open(folder) as log:
        say("opened")
        noted = attempt()
        log.note(noted)
        say("noted", noted.id)


def restores(folder: Path, given: Path) -> None:
    """Puts a backup in the log's place."""
    restore(folder / "practice.db", given, now(), 5)
    say("restored")


WORK: dict[str, Callable[[Path, Path], None]] = {
    work.__name__: work for work in (attempts, corrections, timers, imports, migrations, restores)
}

if __name__ == "__main__":
    say("ready")
    WORK[sys.argv[1]](Path(sys.argv[2]), Path(sys.argv[3]))

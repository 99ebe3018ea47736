"""Struck down (SIGKILL) at random moments: what was confirmed is there, once, and all is whole.

Twenty blows as it is; COMPANION_KILLS=200 for two hundred. A blow falls after a part, drawn
with a fixed seed, of the time the work takes when it is left alone.
"""

from __future__ import annotations

import os
import random
import shutil
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from companion.journal import schema
from companion.journal.fields import ATTEMPT
from companion.journal.json_document import record_of, written
from companion.journal.log import Log
from companion.journal.record import Corrected, Record
from companion.practice.attempt import Outcome
from tests.journal.struck import CHANGES, WORK, attempt

KILLS = int(os.environ.get("COMPANION_KILLS", "20"))
STRUCK = Path(__file__).with_name("struck.py")
MANY = 1500
"""Attempts in an import and in a log in the first form: enough to be hit in the middle."""

ENDLESS = ("attempts", "corrections", "timers")
"""Work without end, that goes on in one log, as a player would after a crash."""
ENDLESS_FOR = 0.4
"""Seconds within which the work without end is struck down."""

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Blow:
    words: list[str]
    """What the program had said."""
    folder: Path
    """The log it left."""


@pytest.fixture(scope="module")
def given(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An export, a log in the first form and a backup, to work with."""
    folder = tmp_path_factory.mktemp("given")
    record = Record(tuple(Corrected(attempt(number)) for number in range(MANY)))
    (folder / "imports").write_bytes(b"".join(written(record, NOW)))
    with closing(sqlite3.connect(folder / "migrations", isolation_level=None)) as first:
        schema.bring_up_to_date(first, folder / "migrations", schema.STEPS[:1])
        first.execute("BEGIN")
        for one in record.attempts:
            row = {
                name: value
                for name, value in ATTEMPT.to_row(one.attempt).items()
                if name not in ("judgement", "silences", "accompaniment", "withdrawn")
                and not name.startswith("heard_")
            }
            slots = ", ".join(f":{name}" for name in row)
            first.execute(f"INSERT INTO attempt ({', '.join(row)}) VALUES ({slots})", row)
        first.execute("COMMIT")
    with Log.open(folder / "whole") as log:
        log.merge(record)
        log.back_up(folder / "restores")
    return folder


def start(
    work: str, folder: Path, given: Path, environment: dict[str, str]
) -> subprocess.Popen[str]:
    words = [sys.executable, str(STRUCK), work, str(folder), str(given / work)]
    one = subprocess.Popen(words, env=environment, stdout=subprocess.PIPE, text=True)
    assert one.stdout is not None
    assert one.stdout.readline() == "ready\n"
    return one


def strike(one: subprocess.Popen[str], after: float) -> list[str]:
    """Kills the program after so many seconds, if it is not done by then; all its words."""
    assert one.stdout is not None
    with one:
        with suppress(subprocess.TimeoutExpired):
            one.wait(timeout=after)
        one.kill()
        return one.stdout.read().splitlines()


def lay_out(work: str, folder: Path, given: Path) -> None:
    """What the log is before the work begins."""
    folder.mkdir(parents=True, exist_ok=True)
    if work == "migrations":
        shutil.copyfile(given / "migrations", folder / "practice.db")
    if work == "restores":
        with Log.open(folder) as log:
            log.note(attempt())


@pytest.fixture(scope="module")
def lasts(
    given: Path, tmp_path_factory: pytest.TempPathFactory, child_environment: dict[str, str]
) -> dict[str, float]:
    """Seconds each work takes when it is left alone."""
    found = dict.fromkeys(ENDLESS, ENDLESS_FOR)
    for work in set(WORK) - set(found):
        folder = tmp_path_factory.mktemp("alone")
        lay_out(work, folder, given)
        with start(work, folder, given, child_environment) as one:
            begin = time.monotonic()
            assert one.stdout is not None
            assert one.stdout.read()
            found[work] = time.monotonic() - begin
    return found


def test_what_was_confirmed_is_there_once_wherever_the_blow_falls(
    tmp_path: Path,
    given: Path,
    lasts: dict[str, float],
    child_environment: dict[str, str],
) -> None:
    draw = random.Random(6)
    reached: Counter[str] = Counter()
    struck = number = 0
    while struck < KILLS:
        number += 1
        work = list(WORK)[struck % len(WORK)]
        folder = tmp_path / (work if work in ENDLESS else f"{work}-{number}")
        if work not in ENDLESS or not folder.exists():
            lay_out(work, folder, given)
        one = start(work, folder, given, child_environment)
        words = strike(one, draw.uniform(0, lasts[work]))
        reached[f"{work}: {words[-1].split()[0] if words else 'ready'}"] += 1
        CHECKS[work](Blow(words, folder), given)
        struck += one.returncode != 0  # what was done before the blow is checked but not counted
    sys.stdout.write(f"where the blows fell: {dict(sorted(reached.items()))}\n")


def _ids(blow: Blow, word: str) -> list[str]:
    return [line.split()[1] for line in blow.words if line.startswith(word)]


def _whole(folder: Path) -> Log:
    log = Log.open(folder)
    assert log.check() == []
    return log


def _attempts_hold(blow: Blow, _: Path) -> None:
    with _whole(blow.folder) as log:
        kept = {one.id: one for one in log.attempts()}
        said = _ids(blow, "noted")
        assert set(said) <= set(kept)
        assert all(kept[one].outcome is Outcome.HELD for one in _ids(blow, "corrected"))
        total = sum(passage.tries for passage in log.passages())
        assert total == len(kept)
        # What the log holds more than was ever said is at most one attempt for each blow.
        BEFORE.setdefault(blow.folder, 0)
        assert len(kept) - BEFORE[blow.folder] - len(said) in (0, 1)
        BEFORE[blow.folder] = len(kept)


def _corrections_hold(blow: Blow, _: Path) -> None:
    """Each attempt is as it was said to be, or one change further, with all its history."""
    said = {line.split()[1]: line.split()[0] for line in blow.words if line != "ready"}
    with _whole(blow.folder) as log:
        kept = {one.attempt.id: one for one in log.gather().attempts}
        assert set(said) <= set(kept)
        for name, word in said.items():
            changes = CHANGES.index(word)
            found = kept[name]
            assert len(found.corrections) in (changes, changes + 1)
            done = CHANGES[len(found.corrections)]
            assert found.attempt.is_withdrawn == (done == "deleted")
            assert found.attempt.outcome is (Outcome.SHAKY if done == "noted" else Outcome.HELD)
        assert len(log.attempts()) == sum(not one.attempt.is_withdrawn for one in kept.values())


BEFORE: dict[Path, int] = {}
"""How many things were in a log after the blow before."""


def _timers_hold(blow: Blow, _: Path) -> None:
    with _whole(blow.folder) as log:
        entries = [entry.id for entry in log.entries.current()]
        assert len(entries) == len(set(entries))
        running = log.timers.running()
        started, stopped = _ids(blow, "started"), _ids(blow, "stopped")
        assert set(stopped) <= set(entries)
        assert running is None or running.id not in entries, "a timer is not an entry as well"
        for one in started:
            assert one in entries or (running is not None and running.id == one)
        BEFORE.setdefault(blow.folder, 0)
        assert len(entries) - BEFORE[blow.folder] - len(stopped) in (0, 1)
        BEFORE[blow.folder] = len(entries)


def _imports_hold(blow: Blow, given: Path) -> None:
    record = record_of((given / "imports").read_bytes(), "imports")
    with _whole(blow.folder) as log:
        count = len(log.attempts())
        assert count in ((MANY,) if "imported" in blow.words else (0, MANY))
        log.merge(record)
        assert sorted(a.id for a in log.attempts()) == sorted(
            one.attempt.id for one in record.attempts
        )


def _migrations_hold(blow: Blow, given: Path) -> None:
    with closing(sqlite3.connect(blow.folder / "practice.db")) as raw:
        found = raw.execute("PRAGMA user_version").fetchone()[0]
    assert found in (
        (len(schema.STEPS),) if "opened" in blow.words else range(1, len(schema.STEPS) + 1)
    )
    with _whole(blow.folder) as log:
        kept = {one.id for one in log.attempts()}
        assert set(_ids(blow, "noted")) <= kept
        assert len(kept) - MANY in ((1,) if _ids(blow, "noted") else (0, 1))
        assert sum(passage.tries for passage in log.passages()) == len(kept)


def _restores_hold(blow: Blow, given: Path) -> None:
    with _whole(blow.folder) as log:
        assert len(log.attempts()) in ((MANY,) if "restored" in blow.words else (1, MANY))
    for kept in blow.folder.glob("practice-replaced-*.db"):
        with closing(sqlite3.connect(kept)) as other:
            assert other.execute("SELECT count(*) FROM attempt").fetchone() == (1,)


CHECKS: dict[str, Callable[[Blow, Path], None]] = {
    "attempts": _attempts_hold,
    "corrections": _corrections_hold,
    "timers": _timers_hold,
    "imports": _imports_hold,
    "migrations": _migrations_hold,
    "restores": _restores_hold,
}

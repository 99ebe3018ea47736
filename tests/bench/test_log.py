"""How fast a log of ten years is: against bare SQLite in the same run, and in milliseconds.

The floor is one commit of one row by a bare sqlite3 connection on the same disk, with the
same care for the disk. Ten years are 100,000 attempts at 3,000 passages. Run by hand:

    pytest tests/bench/test_log.py -o addopts=--import-mode=importlib
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_entries import practised_scores
from companion.practice.attempt import Attempt, bars_of, new_id
from companion.practice.practice_day import minutes_a_day
from tests.bench.years import ATTEMPTS, PASSAGES, ten_years
from tests.journal.noting import note_attempt

DURABLE = 10.0
"""Milliseconds within which one attempt is on the disk."""

TODAY = 50.0
"""Milliseconds for what a day's plan asks of the log."""

CHART = 100.0
"""Milliseconds for what any chart asks."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Folders:
    folder = tmp_path_factory.mktemp("years")
    with Log.open(folder) as log:
        log.merge(ten_years())
    return Folders(folder, folder)


@pytest.fixture(scope="module")
def one(desk: Folders) -> Attempt:
    with Log.read_only(desk.data) as log:
        return log.attempts(limit=1)[0]


def milliseconds(work: Callable[[], object], times: int) -> float:
    """The median of some runs."""
    runs = []
    for _ in range(times):
        begin = perf_counter()
        work()
        runs.append(perf_counter() - begin)
    return sorted(runs)[times // 2] * 1000


def bare_commit(folder: Path) -> float:
    """One row, committed, by SQLite alone."""
    with closing(sqlite3.connect(folder / "bare.db", isolation_level=None)) as bare:
        bare.execute("PRAGMA journal_mode = WAL")
        bare.execute("PRAGMA synchronous = FULL")
        bare.execute("PRAGMA wal_autocheckpoint = 0")
        bare.execute("CREATE TABLE IF NOT EXISTS line (id TEXT PRIMARY KEY, words TEXT)")

        def commit() -> None:
            bare.execute("BEGIN IMMEDIATE")
            bare.execute("INSERT INTO line VALUES (?, ?)", (new_id(), "x" * 300))
            bare.execute("COMMIT")

        return milliseconds(commit, 201)


def test_one_attempt_is_on_the_disk_in_no_time_and_near_the_floor(
    desk: Folders, one: Attempt, tmp_path: Path, benchmark: BenchmarkFixture
) -> None:
    floor = bare_commit(tmp_path)
    # As the screens do it: the log opened, written to, moved into its one file and closed.
    whole = milliseconds(lambda: note_attempt(desk, replace(one, id=new_id())), 51)
    with Log.open(desk.data) as log:
        alone = milliseconds(lambda: log.note(replace(one, id=new_id())), 201)
    benchmark.extra_info |= {
        "bare_commit_ms": floor,
        "noted_in_an_open_log_ms": alone,
        "opened_noted_closed_ms": whole,
        "share": alone / floor,
    }
    benchmark.pedantic(note_attempt, (desk, replace(one, id=new_id())), rounds=1)  # type: ignore[no-untyped-call]
    assert whole < DURABLE
    assert alone < floor * 10


def test_what_a_plan_and_charts_ask_is_answered_in_time(
    desk: Folders, one: Attempt, benchmark: BenchmarkFixture
) -> None:
    since = datetime(2025, 1, 1, tzinfo=UTC)
    with Log.read_only(desk.data) as log:
        assert len(log.passages()) == PASSAGES
        asked: dict[str, tuple[Callable[[], object], float]] = {
            "every passage at a glance": (log.passages, TODAY),
            "what changed since": (log.stamps, TODAY),
            "goals and dates": (lambda: (log.goals.current(), log.occasions.current()), TODAY),
            "scores on the first screen": (lambda: practised_scores(desk), TODAY),
            "one passage over time": (lambda: log.attempts_at(bars_of(one)), CHART),
            "minutes a day in a year": (lambda: minutes_a_day(log.spans(since=since)), CHART),
            "the last attempts of a part": (
                lambda: log.attempts(part_begins="viol", limit=50),
                CHART,
            ),
        }
        found = {name: milliseconds(work, 11) for name, (work, _) in asked.items()}
        found["minutes a day in ten years"] = milliseconds(lambda: minutes_a_day(log.spans()), 3)
        assert len(log.spans()) >= ATTEMPTS
        benchmark.extra_info |= found
        benchmark.pedantic(log.passages, rounds=1)  # type: ignore[no-untyped-call]
    assert {name for name, (_, most) in asked.items() if found[name] >= most} == set()

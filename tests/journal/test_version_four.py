"""A log in the fourth form opens for as long as the program lives; attempts can be deleted in it.

`fixtures/version_4.db` was written by the program itself when that was the newest form. It is
never made again. It holds the two attempts of `test_version_three.py`, one of them corrected.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from companion.files.folders import Folders
from companion.journal import schema
from companion.journal.json_document import record_of, written
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings
from companion.journal.record import Merged
from companion.practice.attempt import Attempt, Outcome, bars_of, new_id
from tests.journal.test_version_three import LISTENED, SILENT_BARS, TEN

KEPT = Path(__file__).with_name("fixtures") / "version_4.db"
CORRECTED = replace(LISTENED, outcome=Outcome.HELD)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(KEPT, tmp_path / "practice.db")
    return tmp_path


def ids(attempts: list[Attempt]) -> set[str]:
    return {one.id for one in attempts}


def test_a_log_in_the_fourth_form_still_opens_with_all_it_held(folder: Path) -> None:
    with closing(sqlite3.connect(f"{KEPT.as_uri()}?mode=ro&immutable=1", uri=True)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (4,)
    with Log.open(folder) as log:
        assert {one.id: one for one in log.attempts()} == {
            SILENT_BARS.id: SILENT_BARS,
            LISTENED.id: CORRECTED,
        }
        (correction,) = log.corrections(LISTENED.id)
        assert correction.revision.at == TEN + timedelta(days=1)
        assert not correction.later.is_withdrawn
        assert schema.version(log._connection) == len(schema.STEPS)
        assert log.check() == []


def test_a_deleted_attempt_counts_nowhere_until_it_is_brought_back(folder: Path) -> None:
    bars = bars_of(SILENT_BARS)
    with Log.open(folder) as log:
        later = replace(LISTENED, id=new_id(), at=TEN + timedelta(days=2))
        log.note(later)
        log.correct(later.id, is_withdrawn=True)
        assert ids(log.attempts()) == ids(log.attempts_at(bars)) == {SILENT_BARS.id, LISTENED.id}
        (passage,) = log.passages()
        assert (passage.tries, passage.last) == (2, TEN)
        assert len(log.spans()) == 2
        log.correct(SILENT_BARS.id, is_withdrawn=True)
        log.correct(LISTENED.id, is_withdrawn=True)
        assert (log.attempts(), log.passages(), log.stamps(), log.spans()) == ([], [], {}, [])
        assert log.last_tempo(bars.score_digest, bars.part_id, bars.first, bars.last) is None
        assert log.check() == []
        assert log.correct(later.id, is_withdrawn=False) == later
        assert log.passages()[0].tries == 1
        assert [one.later.is_withdrawn for one in log.corrections(later.id)] == [True, False]
        assert log.check() == []


def test_where_a_passage_stands_follows_a_deletion(folder: Path) -> None:
    folders = Folders(folder, folder / "cache")
    (before,) = all_standings(folders)
    for attempt in (SILENT_BARS, LISTENED):
        with Log.open(folder) as log:
            log.correct(attempt.id, is_withdrawn=True)
    assert all_standings(folders) == []
    for attempt in (SILENT_BARS, LISTENED):
        with Log.open(folder) as log:
            log.correct(attempt.id, is_withdrawn=False)
    assert all_standings(folders) == [before]


def test_a_deletion_reaches_the_other_machine(folder: Path, tmp_path: Path) -> None:
    def carried(log: Log) -> bytes:
        return b"".join(written(log.gather(), TEN))

    with Log.open(folder) as here, Log.open(tmp_path / "other") as other:
        other.merge(record_of(carried(here), "log.json"))
        here.correct(SILENT_BARS.id, is_withdrawn=True)
        other.correct(SILENT_BARS.id, note="on the train")
        record = record_of(carried(here), "log.json")
        assert record == here.gather()
        assert other.merge(record) == Merged(corrections=1)
        here.merge(record_of(carried(other), "log.json"))
        for log in (here, other):
            assert ids(log.attempts()) == {LISTENED.id}
            assert log.check() == []
        back = other.correct(SILENT_BARS.id, is_withdrawn=False)
        assert back.note == "on the train"
    with Log.open(tmp_path / "new") as new, Log.open(folder) as here:
        assert new.merge(here.gather()).attempts == 2
        assert ids(new.attempts()) == {LISTENED.id}
        assert new.check() == []

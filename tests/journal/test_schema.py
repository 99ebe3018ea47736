from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from companion.journal import schema
from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome

Noting = Callable[..., Attempt]


@pytest.fixture
def path(tmp_path: Path, played: Noting) -> Path:
    """A log with one attempt in it."""
    with Log.open(tmp_path) as log:
        log.note(played())
    return tmp_path / "practice.db"


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """The same log, opened past our own code."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA foreign_keys = ON")
        yield connection


def test_the_log_is_marked_and_written_ahead(raw: sqlite3.Connection) -> None:
    assert raw.execute("PRAGMA application_id").fetchone() == (0x50726163,)
    assert raw.execute("PRAGMA user_version").fetchone() == (len(schema.STEPS),)
    assert raw.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_writer_waits_for_the_disk(tmp_path: Path) -> None:
    with Log.open(tmp_path, patience=3) as log:
        asked = {
            name: log._connection.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("synchronous", "foreign_keys", "busy_timeout", "wal_autocheckpoint")
        }
    # SQLite, "PRAGMA synchronous": 2 is FULL, which in WAL mode syncs at every commit.
    assert asked == {
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 3000,
        "wal_autocheckpoint": 0,
    }


def test_every_table_is_strict(raw: sqlite3.Connection) -> None:
    tables = {name: strict for _, name, _, _, _, strict in raw.execute("PRAGMA table_list")}
    ours = {name: strict for name, strict in tables.items() if not name.startswith("sqlite_")}
    assert set(ours.values()) == {1}
    assert set(ours) == {
        *("attempt", "outcome", "revision", "entry", "activity", "goal", "occasion"),
        *("timer", "setting", "passage"),
    }


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ("first_bar = 'thirteen'", "attempt.first_bar"),
        ("seconds = 'long'", "attempt.seconds"),
        ("note = x'00'", "attempt.note"),
        ("note = NULL", "attempt.note"),
        ("last_bar = 12", "last_bar >= first_bar"),
        ("tempo = '72.5'", "tempo"),
        ("tempo = '-72'", "tempo"),
        ("at_utc = '2026-03-01T16:00:00Z'", "at_utc"),
        ("layers = 'click'", "layers"),
        ("outcome = 'perfect'", "FOREIGN KEY"),
    ],
)
def test_the_file_itself_refuses_what_is_no_attempt(
    raw: sqlite3.Connection, change: str, complaint: str
) -> None:
    with pytest.raises(sqlite3.IntegrityError, match=complaint):
        raw.execute(f"UPDATE attempt SET {change}")


def test_an_attempt_with_corrections_cannot_be_removed_from_under_them(
    tmp_path: Path, path: Path, raw: sqlite3.Connection
) -> None:
    with Log.open(tmp_path) as log:
        log.correct(log.attempts()[0].id, note="again")
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        raw.execute("DELETE FROM attempt")


def test_the_words_in_the_file_are_the_words_of_the_program(raw: sqlite3.Connection) -> None:
    kept = raw.execute("SELECT word, rank FROM outcome ORDER BY rank").fetchall()
    assert kept == [(outcome.value, outcome.rank) for outcome in Outcome]


@pytest.mark.parametrize("look", [Log.open, Log.read_only])
def test_a_log_from_a_newer_companion_is_refused_and_left_as_it_is(
    tmp_path: Path, path: Path, look: Callable[[Path], Log]
) -> None:
    with closing(sqlite3.connect(path)) as newer:
        newer.execute(f"PRAGMA user_version = {len(schema.STEPS) + 1}")
    before = path.read_bytes()
    with pytest.raises(JournalError, match="newer companion") as refusal:
        look(tmp_path)
    assert refusal.value.where == str(path)
    assert "up to date" in refusal.value.next
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["practice.db"]


@pytest.mark.parametrize("look", [Log.open, Log.read_only])
def test_a_newer_log_cut_off_while_open_is_refused_and_left_as_it_is(
    tmp_path: Path, path: Path, look: Callable[[Path], Log]
) -> None:
    left = tmp_path / "left"
    left.mkdir()
    with closing(sqlite3.connect(path)) as newer:
        newer.execute(f"PRAGMA user_version = {len(schema.STEPS) + 1}")
        for name in ("practice.db", "practice.db-wal"):  # as a power cut would leave them
            shutil.copyfile(tmp_path / name, left / name)
    before = {name: (left / name).read_bytes() for name in ("practice.db", "practice.db-wal")}
    assert before["practice.db-wal"]
    with pytest.raises(JournalError, match="newer companion"):
        look(left)
    assert {name: (left / name).read_bytes() for name in before} == before


def test_a_log_grows_by_a_step_and_keeps_what_it_held(
    tmp_path: Path, path: Path, raw: sqlite3.Connection
) -> None:
    sessions = ("CREATE TABLE session (id TEXT PRIMARY KEY) STRICT",)
    schema.bring_up_to_date(raw, path, (*schema.STEPS, sessions))
    assert schema.version(raw) == len(schema.STEPS) + 1
    assert raw.execute("SELECT count(*) FROM attempt, (SELECT count(*) FROM session)").fetchone()
    schema.bring_up_to_date(raw, path, (*schema.STEPS, sessions))


def test_a_log_in_an_older_form_is_read_without_being_brought_up_to_date(
    tmp_path: Path, played: Noting
) -> None:
    path = tmp_path / "practice.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as first:
        schema.bring_up_to_date(first, path, schema.STEPS[:1])
    before = path.read_bytes()
    with Log.read_only(tmp_path) as log:
        assert log.attempts() == []
        assert log.entries.current() == []
        with pytest.raises(JournalError):
            log.note(played())
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["practice.db"]


def test_a_step_that_fails_halfway_leaves_the_log_in_its_old_form(
    path: Path, raw: sqlite3.Connection
) -> None:
    halfway = ("CREATE TABLE session (id TEXT PRIMARY KEY) STRICT", "CREATE TABLE attempt (id)")
    layout = raw.execute("SELECT sql FROM sqlite_schema").fetchall()
    with pytest.raises(sqlite3.OperationalError, match="already exists"):
        schema.bring_up_to_date(raw, path, (*schema.STEPS, halfway))
    assert schema.version(raw) == len(schema.STEPS)
    assert raw.execute("SELECT sql FROM sqlite_schema").fetchall() == layout
    assert not raw.in_transaction

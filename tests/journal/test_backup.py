"""Backups and their return: whole, beside what was there, while others write."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, time
from pathlib import Path

import pytest

from companion.journal import schema
from companion.journal.backup import restore
from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.timer import Timer

Noting = Callable[..., Attempt]
NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
KEPT = "practice-replaced-20260302-090000.db"
VERSION_ONE = Path(__file__).with_name("fixtures") / "version_1.db"


@pytest.fixture
def folder(tmp_path: Path, played: Noting) -> Path:
    """A log with something of everything."""
    with Log.open(tmp_path / "log") as log:
        log.note(played())
        log.correct(log.attempts()[0].id, outcome=Outcome.SHAKY)
        log.entries.add(LogEntry(what=Activity.SCALES, seconds=600))
        log.set_day_ends(time(3))
    return tmp_path / "log"


def opened(file: Path, folder: Path) -> Log:
    """A backup opened as a log in a folder of its own."""
    folder.mkdir()
    shutil.copyfile(file, folder / "practice.db")
    return Log.read_only(folder)


def put_back(folder: Path, backup: Path) -> Path | None:
    return restore(folder / "practice.db", backup, NOW, 5)


def test_a_backup_is_one_file_that_holds_the_whole_log(tmp_path: Path, folder: Path) -> None:
    target = tmp_path / "backup.db"
    with Log.read_only(folder) as log:
        log.back_up(target)
        record = log.gather()
    assert sorted(os.listdir(tmp_path)) == ["backup.db", "log"]
    with opened(target, tmp_path / "copy") as copy:
        assert copy.gather() == record
        assert copy.day_ends == time(3)
        assert copy.check() == []


def test_a_backup_made_while_the_log_is_open_has_what_was_just_noted(
    tmp_path: Path, folder: Path, played: Noting
) -> None:
    with Log.open(folder) as log:
        log.note(played(5))
        with Log.read_only(folder) as reader:
            reader.back_up(tmp_path / "backup.db")
        log.note(played(6))
        # No lock was lost on the way (a plain read of the file would have dropped them).
        assert (folder / "practice.db-wal").exists()
        assert len(log.attempts()) == 3
    with opened(tmp_path / "backup.db", tmp_path / "copy") as copy:
        assert [attempt.at.minute for attempt in copy.attempts()] == [5, 0]


def test_an_older_backup_is_replaced_and_nothing_else_is(tmp_path: Path, folder: Path) -> None:
    target = tmp_path / "backup.db"
    (tmp_path / "letter.txt").write_text("not a log")
    with Log.read_only(folder) as log:
        log.back_up(target)
        log.back_up(target)
        for wrong in (tmp_path / "letter.txt", folder / "practice.db", tmp_path / "no" / "x.db"):
            with pytest.raises(JournalError):
                log.back_up(wrong)
    assert (tmp_path / "letter.txt").read_text() == "not a log"
    assert sorted(os.listdir(tmp_path)) == ["backup.db", "letter.txt", "log"]
    assert os.listdir(folder) == ["practice.db"]


def test_a_log_in_use_elsewhere_is_not_overwritten_by_a_backup(
    tmp_path: Path, folder: Path, played: Noting
) -> None:
    with Log.open(tmp_path / "other") as other, Log.read_only(folder) as log:
        other.note(played(9))
        with pytest.raises(JournalError, match="left as it is"):
            log.back_up(tmp_path / "other" / "practice.db")
        assert len(other.attempts()) == 1


def test_a_restored_log_holds_what_the_backup_holds_and_the_replaced_one_is_kept(
    tmp_path: Path, folder: Path, played: Noting
) -> None:
    backup = tmp_path / "backup.db"
    with Log.read_only(folder) as log:
        log.back_up(backup)
        record = log.gather()
    with Log.open(folder) as log:
        log.note(played(30))
        log.set_day_ends(time(5))
        later = log.gather()
    assert put_back(folder, backup) == folder / KEPT
    with Log.read_only(folder) as log:
        assert (log.gather(), log.day_ends) == (record, time(3))
        assert log.check() == []
        [passage] = log.passages()
        assert passage.tries == 1
    with opened(folder / KEPT, tmp_path / "kept") as kept:
        assert (kept.gather(), kept.day_ends) == (later, time(5))
    assert sorted(os.listdir(folder)) == [KEPT, "practice.db"]


def test_a_second_restore_in_the_same_second_keeps_both(tmp_path: Path, folder: Path) -> None:
    backup = tmp_path / "backup.db"
    with Log.read_only(folder) as log:
        log.back_up(backup)
    assert put_back(folder, backup) == folder / KEPT
    assert put_back(folder, backup) == folder / KEPT.replace(".db", "-2.db")


def test_a_window_that_has_the_log_open_goes_on_with_the_restored_one(
    tmp_path: Path, folder: Path, played: Noting
) -> None:
    backup = tmp_path / "backup.db"
    with Log.read_only(folder) as log:
        log.back_up(backup)
    timer = Timer(what=Activity.LESSON, started=NOW)
    with Log.open(folder) as window:
        window.note(played(30))
        window.timers.start(timer)
        put_back(folder, backup)
        assert len(window.attempts()) == 1
        assert window.timers.running() == timer
        window.note(played(31))
    with Log.read_only(folder) as log:
        assert [attempt.at.minute for attempt in log.attempts()] == [31, 0]
        assert log.check() == []


def test_a_backup_in_an_older_form_can_be_restored(tmp_path: Path, folder: Path) -> None:
    before = VERSION_ONE.read_bytes()
    put_back(folder, VERSION_ONE)
    with Log.read_only(folder) as log:
        assert len(log.attempts()) == 2
        assert log.check() == []
        assert schema.version(log._connection) == len(schema.STEPS)
    assert VERSION_ONE.read_bytes() == before


def test_where_there_is_no_log_yet_the_backup_becomes_it(tmp_path: Path, folder: Path) -> None:
    backup = tmp_path / "backup.db"
    with Log.open(folder) as log:
        log.timers.start(Timer(what=Activity.LESSON))
        log.back_up(backup)
        record = log.gather()
    assert put_back(tmp_path / "new", backup) is None
    with Log.open(tmp_path / "new") as log:
        assert log.gather() == record
        assert log.timers.running() is None, "a timer belongs to the day it was started"


@pytest.mark.parametrize("damage", ["pages", "beginning", "index"])
def test_a_damaged_log_is_moved_aside_as_it_lies(
    tmp_path: Path, folder: Path, played: Noting, damage: str
) -> None:
    backup = tmp_path / "backup.db"
    with Log.open(folder) as log:
        log.back_up(backup)
        for minute in range(60):
            log.note(played(minute, note="slowly " * 40))
    path = folder / "practice.db"
    content = bytearray(path.read_bytes())
    stretches = {"beginning": (0, 100), "pages": (2 * 4096, len(content) - 4096)}
    if damage == "index":
        year = content.rfind(b"2026-03-01T16:00")  # stands in the row first, in an index last
        stretches["index"] = (year, year + 4)
    begin, end = stretches[damage]
    content[begin:end] = b"1" * (end - begin)
    path.write_bytes(content)
    assert put_back(folder, backup) == folder / KEPT
    assert (folder / KEPT).read_bytes() == bytes(content)
    with Log.read_only(folder) as log:
        assert len(log.attempts()) == 1
        assert log.check() == []


def newer(path: Path) -> None:
    with closing(sqlite3.connect(path)) as other:
        other.execute(f"PRAGMA user_version = {len(schema.STEPS) + 1}")


def test_a_log_from_a_newer_companion_is_neither_replaced_nor_restored(
    tmp_path: Path, folder: Path
) -> None:
    backup, path = tmp_path / "backup.db", folder / "practice.db"
    with Log.read_only(folder) as log:
        log.back_up(backup)
    newer(path)
    before = path.read_bytes()
    with pytest.raises(JournalError, match="newer companion"):
        put_back(folder, backup)
    assert path.read_bytes() == before
    with pytest.raises(JournalError, match="newer companion"):
        put_back(tmp_path / "new", path)
    assert os.listdir(folder) == ["practice.db"]
    assert os.listdir(tmp_path / "new") == []


@pytest.mark.parametrize("content", [None, b"", b"a letter", b"SQLite format 3\0" + b"\x55" * 5000])
def test_what_is_no_backup_replaces_nothing(
    tmp_path: Path, folder: Path, content: bytes | None
) -> None:
    wrong = tmp_path / "wrong.db"
    if content is not None:
        wrong.write_bytes(content)
    before = (folder / "practice.db").read_bytes()
    with pytest.raises(JournalError):
        put_back(folder, wrong)
    assert (folder / "practice.db").read_bytes() == before
    assert os.listdir(folder) == ["practice.db"]


def test_a_backup_with_a_spoiled_entry_replaces_nothing(tmp_path: Path, folder: Path) -> None:
    backup = tmp_path / "backup.db"
    with Log.read_only(folder) as log:
        log.back_up(backup)
    with closing(sqlite3.connect(backup)) as other, other:
        other.execute("UPDATE attempt SET tempo = '72/0'")
    with pytest.raises(JournalError, match="not whole"):
        put_back(folder, backup)
    with Log.read_only(folder) as log:
        assert log.check() == []


def test_a_damaged_log_makes_no_backup_in_place_of_a_good_one(
    tmp_path: Path, folder: Path, played: Noting
) -> None:
    backup = tmp_path / "backup.db"
    with Log.open(folder) as log:
        log.back_up(backup)
        for minute in range(60):
            log.note(played(minute, note="slowly " * 40))
    path = folder / "practice.db"
    content = bytearray(path.read_bytes())
    content[2 * 4096 : -4096] = b"\x55" * (len(content) - 3 * 4096)
    path.write_bytes(content)
    before = backup.read_bytes()
    with Log.read_only(folder) as log, pytest.raises(JournalError, match="damaged"):
        log.back_up(backup)
    assert backup.read_bytes() == before


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such pipes")
def test_a_pipe_is_no_backup(folder: Path, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.db")
    with pytest.raises(JournalError, match=r"This is a pipe\. Name a backup\."):
        restore(folder / "practice.db", tmp_path / "pipe.db", NOW, 1)

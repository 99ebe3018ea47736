"""Full disks, barred folders, other programs and damage end in a sentence, not in a traceback."""

from __future__ import annotations

import os
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.journal.open_log import refuse_old_sqlite
from companion.practice.attempt import Attempt

Noting = Callable[..., Attempt]


def begin(folder: Path, *attempts: Attempt) -> Path:
    with Log.open(folder) as log:
        for attempt in attempts:
            log.note(attempt)
    return folder / "practice.db"


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")
    with pytest.raises(JournalError) as refusal:
        Log.open(tmp_path / "file" / "log")
    assert str(tmp_path / "file") in refusal.value.sentence()
    assert refusal.value.next
    assert (tmp_path / "file").read_text(encoding="utf-8") == "not a folder"


@pytest.mark.parametrize("look", [Log.open, Log.read_only])
def test_a_folder_in_the_place_of_the_file_is_refused(
    tmp_path: Path, look: Callable[[Path], Log]
) -> None:
    (tmp_path / "practice.db").mkdir()
    with pytest.raises(JournalError, match="not a practice log"):
        look(tmp_path)


def test_a_log_another_program_holds_is_waited_for_and_then_reported(
    tmp_path: Path, played: Noting
) -> None:
    path = begin(tmp_path, played())
    with (
        closing(sqlite3.connect(path, isolation_level=None)) as other,
        Log.open(tmp_path, patience=0.01) as log,
    ):
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="Another program is holding"):
            log.note(played(1))
        assert len(log.attempts()) == 1
        other.execute("ROLLBACK")
        log.note(played(2))
        assert [a.at.minute for a in log.attempts()] == [2, 0]


def test_a_disk_that_fills_up_keeps_all_that_was_noted_before(
    tmp_path: Path, player: list[str], child_environment: dict[str, str]
) -> None:
    # The system refuses to let any file of the player's grow beyond 300,000 bytes.
    pytest.importorskip("resource")
    done = subprocess.run(
        [*player, str(tmp_path), "5000", "300000"],
        env=child_environment,
        capture_output=True,
        text=True,
        timeout=120,
    )
    ready, *said, problem = done.stdout.splitlines()
    assert (done.returncode, ready, done.stderr) == (1, "ready", "")
    assert problem.startswith(f"trouble: {tmp_path / 'practice.db'}: ")
    assert "so nothing was written" in problem
    assert len(said) > 10
    with Log.open(tmp_path) as log:
        assert sorted(a.id for a in log.attempts()) == sorted(said)
        assert log.check() == []


def test_a_full_disk_is_called_by_its_name(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played())
        log._connection.execute("PRAGMA max_page_count = 1")  # SQLite stops at the present size
        with pytest.raises(JournalError, match="no room left"):
            for minute in range(1, 1000):
                log.note(played(minute, note="long " * 1000))
        noted = log.attempts()
        assert log.check() == []
    with Log.read_only(tmp_path) as log:
        assert log.attempts() == noted


@pytest.mark.parametrize("content", [b"hello", b"\0" * 4096, b"SQLite format 3", b"x" * 9000])
@pytest.mark.parametrize("look", [Log.open, Log.read_only])
def test_a_file_that_is_no_database_is_left_alone(
    tmp_path: Path, content: bytes, look: Callable[[Path], Log]
) -> None:
    (tmp_path / "practice.db").write_bytes(content)
    with pytest.raises(JournalError, match="not a practice log") as refusal:
        look(tmp_path)
    assert refusal.value.where == str(tmp_path / "practice.db")
    assert (tmp_path / "practice.db").read_bytes() == content
    assert os.listdir(tmp_path) == ["practice.db"]


@pytest.mark.parametrize("mark", ["user_version = 0", "user_version = 3", "application_id = 7"])
@pytest.mark.parametrize("look", [Log.open, Log.read_only])
def test_another_programs_database_is_left_alone(
    tmp_path: Path, mark: str, look: Callable[[Path], Log]
) -> None:
    path = tmp_path / "practice.db"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE recipe (cake TEXT)")
        other.execute(f"PRAGMA {mark}")
    before = path.read_bytes()
    with pytest.raises(JournalError, match="not a practice log"):
        look(tmp_path)
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["practice.db"]


def test_damage_is_found_and_said(tmp_path: Path, played: Noting) -> None:
    path = begin(tmp_path, *(played(minute, note="slowly " * 40) for minute in range(60)))
    content = bytearray(path.read_bytes())
    content[2 * 4096 : -4096] = b"\x55" * (len(content) - 3 * 4096)
    path.write_bytes(content)
    with Log.read_only(tmp_path) as log:
        assert any("damaged" in problem for problem in log.check())
        with pytest.raises(JournalError, match="damaged"):
            log.attempts()


def test_damage_that_spoils_no_attempt_is_found_all_the_same(
    tmp_path: Path, played: Noting
) -> None:
    path = begin(tmp_path, played())
    content = bytearray(path.read_bytes())
    year = content.rfind(b"2026-03-01T16:00")  # the last copy stands in an index, not in the row
    content[year : year + 4] = b"1926"
    path.write_bytes(content)
    with Log.read_only(tmp_path) as log:
        assert len(log.attempts()) == 1
        [problem, *_] = log.check()
        assert problem.startswith(f"{path}: The file is damaged: ")
        assert "index" in problem
        assert "\n" not in problem


def test_an_entry_changed_by_other_means_is_found_and_named(tmp_path: Path, played: Noting) -> None:
    spoiled, fine = played(0), played(1)
    path = begin(tmp_path, spoiled, fine)
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("UPDATE attempt SET tempo = '72/0' WHERE id = ?", (spoiled.id,))
        other.execute("UPDATE attempt SET outcome = 'perfect' WHERE id = ?", (fine.id,))
    with Log.open(tmp_path) as log:
        problems = log.check()
        assert any("“72/0” is not a tempo" in p and "correct attempt:1 --w" in p for p in problems)
        assert any("of outcome that is not there" in p for p in problems)
        assert log.attempts() == []


def test_a_python_with_too_old_an_sqlite_is_told_so() -> None:
    refuse_old_sqlite((3, 37, 0))
    with pytest.raises(JournalError, match=r"3\.37\.0 or later; this Python brings 3\.34\.1"):
        refuse_old_sqlite((3, 34, 1))

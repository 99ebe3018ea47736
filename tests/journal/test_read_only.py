"""Looking at a log neither begins one nor changes it."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome, new_id

Noting = Callable[..., Attempt]


def test_looking_for_a_log_that_does_not_exist_does_not_begin_one(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "yet"
    with Log.read_only(folder) as log:
        assert log.attempts() == []
        assert log.last_tempo("5e" * 32, "P2", 13, 20) is None
        assert log.corrections(new_id()) == []
        assert log.check() == []
    assert list(tmp_path.iterdir()) == []


def test_a_log_cut_short_at_its_birth_is_empty_and_can_be_begun(
    tmp_path: Path, played: Noting
) -> None:
    (tmp_path / "practice.db").touch()
    with Log.read_only(tmp_path) as log:
        assert log.attempts() == []
    assert (tmp_path / "practice.db").read_bytes() == b""
    with Log.open(tmp_path) as log:
        log.note(played())
        assert len(log.attempts()) == 1


def test_looking_leaves_the_folder_as_it_was(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played())
    before = {f.name: (f.read_bytes(), f.stat().st_mtime_ns) for f in tmp_path.iterdir()}
    with Log.read_only(tmp_path) as log:
        assert len(log.attempts()) == 1
    assert {f.name: (f.read_bytes(), f.stat().st_mtime_ns) for f in tmp_path.iterdir()} == before
    assert list(before) == ["practice.db"]


@pytest.mark.parametrize("begun", [False, True])
def test_whoever_only_looks_cannot_write(tmp_path: Path, played: Noting, begun: bool) -> None:
    said = played()
    if begun:
        with Log.open(tmp_path) as log:
            log.note(said)
    with Log.read_only(tmp_path) as log:
        with pytest.raises(JournalError):
            log.note(played())
        with pytest.raises(JournalError):
            log.correct(said.id, outcome=Outcome.SECURE)
        assert len(log.attempts()) == int(begun)


def test_a_reader_sees_what_a_writer_has_just_noted(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log, Log.read_only(tmp_path) as reader:
        for minute in range(3):
            log.note(played(minute))
            assert len(reader.attempts()) == minute + 1


def test_looking_while_a_player_has_the_log_open_does_not_take_it_from_under_them(
    tmp_path: Path, played: Noting, player: list[str], child_environment: dict[str, str]
) -> None:
    # SQLite, "How To Corrupt An SQLite Database File", 2.2: on POSIX, closing any other
    # handle on the file drops this process's locks; the next process to leave would then
    # take itself for the last one and remove the file the open log still writes to.
    with Log.open(tmp_path) as log:
        log.note(played(0))
        with Log.read_only(tmp_path) as reader:
            assert len(reader.attempts()) == 1
        with Log.open(tmp_path) as second:
            second.note(played(1))
        visit = [*player, str(tmp_path), "1", "0"]
        subprocess.run(visit, env=child_environment, check=True, capture_output=True, timeout=60)
        assert (tmp_path / "practice.db-wal").exists()
        log.note(played(2))
        subprocess.run(visit, env=child_environment, check=True, capture_output=True, timeout=60)
        assert len(log.attempts()) == 5
    with Log.read_only(tmp_path) as reader:
        assert len(reader.attempts()) == 5
        assert reader.check() == []

"""A disk that is full: a clear sentence, practice goes on, and nothing that was not saved is lost.

The disk is a real one of a megabyte in memory (Linux, root only); where there is none to be
had, a folder that cannot be made stands in for it.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

import companion
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_entries import logged_attempts
from companion.journal.log_exchange import import_log
from companion.journal.unsaved_attempts import (
    note_or_keep_unsaved,
    rescue_unsaved,
    retry_unsaved,
)
from companion.practice.attempt import Attempt, Outcome
from companion.wording.log_sentences import unsaved_told
from tests.journal.noting import note_attempt


def practised(minute: int) -> Attempt:
    return Attempt(
        score_title="Study",
        score_digest="5e" * 16,
        score_path="/scores/study.musicxml",
        part_id="P4",
        part_name="Cello",
        first_bar=1,
        last_bar=8,
        bars_label="1–8",
        tempo=Fraction(145, 2),
        beat="quarter",
        outcome=Outcome.HELD,
        at=datetime(2026, 3, 1, 18, minute, tzinfo=timezone(timedelta(hours=1))),
    )


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of a megabyte."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if sys.platform != "linux" or os.geteuid() != 0:
        pytest.skip("only root can make a small disk")
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(disk)], capture_output=True
    )
    if mounted.returncode:
        pytest.skip("a small disk cannot be mounted here")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def fill(disk: Path) -> Path:
    """Takes all the room there is left."""
    ballast = disk / "ballast"
    with ballast.open("ab", buffering=0) as file:
        for size in (65536, 4096, 1):
            try:
                while file.write(b"x" * size) == size:
                    pass
            except OSError:
                continue
    return ballast


def test_practice_goes_on_while_the_disk_is_full_and_all_is_noted_once_there_is_room(
    small_disk: Path, tmp_path: Path
) -> None:
    folders = Folders(small_disk / "data", tmp_path / "cache")
    note_attempt(folders, practised(0))
    ballast = fill(small_disk)

    unsaved = note_or_keep_unsaved(folders, practised(1))
    assert unsaved is not None
    assert "no room left for the practice log" in unsaved_told(unsaved)
    assert "Make room on the disk" in unsaved_told(unsaved)
    unsaved = note_or_keep_unsaved(folders, practised(2))
    assert unsaved is not None
    assert [attempt.at.minute for attempt in unsaved.attempts] == [1, 2]
    assert unsaved_told(unsaved).startswith("2 attempts are not saved yet")
    assert [attempt.at.minute for attempt in logged_attempts(folders)] == [0]

    ballast.unlink()
    assert note_or_keep_unsaved(folders, practised(3)) is None
    assert [attempt.at.minute for attempt in logged_attempts(folders)] == [3, 2, 1, 0]
    with Log.read_only(folders.data) as log:
        assert log.check() == []
    assert rescue_unsaved(folders) == ""


def test_what_is_held_to_the_end_becomes_a_file_that_can_be_taken_in(
    small_disk: Path, tmp_path: Path
) -> None:
    folders = Folders(small_disk / "data", tmp_path / "cache")
    note_attempt(folders, practised(0))
    ballast = fill(small_disk)
    note_or_keep_unsaved(folders, practised(1))
    note_or_keep_unsaved(folders, practised(2))

    said = rescue_unsaved(folders, (small_disk, tmp_path))
    assert "no room left" in said
    [file] = tmp_path.glob("companion-unsaved-*.json")
    assert f"companion log import {file}" in said
    assert retry_unsaved(folders) is None, "nothing is unsaved any longer"

    ballast.unlink()
    import_log(folders, file)
    assert [attempt.at.minute for attempt in logged_attempts(folders)] == [2, 1, 0]


def test_commands_say_in_a_sentence_that_there_is_no_room(small_disk: Path) -> None:
    note_attempt(Folders(small_disk, small_disk), practised(0))
    fill(small_disk)
    root = str(Path(companion.__file__).parents[1])
    words = [sys.executable, "-m", "companion", "--data-dir", str(small_disk), "log", "add"]
    done = subprocess.run(
        [*words, "--what", "scales", "--minutes", "20"],
        env={**os.environ, "PYTHONPATH": root, "PYTHONDONTWRITEBYTECODE": "1"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert (done.returncode, done.stdout) == (1, "")
    [sentence] = done.stderr.splitlines()
    assert "There is no room left for the practice log, so nothing was written" in sentence


@pytest.fixture
def barred(tmp_path: Path) -> Folders:
    """Folders in whose place a file stands."""
    (tmp_path / "data").write_text("in the way")
    return Folders(tmp_path / "data", tmp_path / "cache")


def test_what_is_held_is_tried_again_at_the_end(barred: Folders) -> None:
    assert note_or_keep_unsaved(barred, practised(0)) is not None
    barred.data.unlink()
    assert rescue_unsaved(barred) == ""
    assert [attempt.at.minute for attempt in logged_attempts(barred)] == [0]


def test_where_no_place_takes_it_what_was_held_is_said_in_full(
    barred: Folders, tmp_path: Path
) -> None:
    attempt = practised(0)
    note_or_keep_unsaved(barred, attempt)
    said = rescue_unsaved(barred, (tmp_path / "nowhere",))
    assert "Nothing could be written anywhere" in said
    assert attempt.id in said


def test_an_attempt_that_reached_the_disk_after_all_is_not_noted_twice(barred: Folders) -> None:
    attempt = practised(0)
    note_or_keep_unsaved(barred, attempt)
    barred.data.unlink()
    note_attempt(barred, attempt)
    assert retry_unsaved(barred) is None
    assert logged_attempts(barred) == [attempt]


def test_a_program_that_ends_without_asking_still_says_where_it_is(
    barred: Folders, tmp_path: Path
) -> None:
    root = str(Path(companion.__file__).parents[1])
    code = (
        "from pathlib import Path\n"
        "from companion.files.folders import Folders\n"
        "from companion.journal.unsaved_attempts import note_or_keep_unsaved\n"
        "from tests.journal.test_unsaved_attempts import practised\n"
        f"note_or_keep_unsaved(Folders(Path({str(barred.data)!r}), Path('.')), practised(7))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        env={**os.environ, "PYTHONPATH": root, "HOME": str(tmp_path), "USERPROFILE": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
    )
    [file] = tmp_path.glob("companion-unsaved-*.json")
    assert done.returncode == 0
    assert f"companion log import {file}" in done.stderr
    barred.data.unlink()
    import_log(barred, file)
    assert [attempt.at.minute for attempt in logged_attempts(barred)] == [7]


@pytest.mark.skipif(os.name != "posix", reason="Windows takes no folder away that one works in")
def test_what_is_unsaved_is_rescued_though_the_folder_one_works_in_was_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone, home = tmp_path / "gone", tmp_path / "home"
    for folder in (gone, home):
        folder.mkdir()
    barred = tmp_path / "barred"
    barred.write_text("no folder")
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.chdir(gone)
    gone.rmdir()
    folders = Folders(barred, tmp_path / "cache")
    note_or_keep_unsaved(folders, practised(0))
    rescue_unsaved(folders)
    assert list(home.glob("companion-unsaved-*.json"))

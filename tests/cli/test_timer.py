"""`companion timer`: one line each, and a doubtful time is asked about, not counted."""

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_entries import logged_entries
from companion.practice.attempt import now
from companion.practice.entry import Activity
from companion.practice.timer import Timer

Run = Callable[..., str]


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Folders:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    return Folders(tmp_path / "data", tmp_path / "data" / "cache")


@pytest.fixture
def timer(folders: Folders, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `companion timer …` and hands back its one line."""

    def run(*words: str, status: int = 0) -> str:
        assert main(["timer", *words]) == status
        told = capsys.readouterr()
        [line] = (told.err if status else told.out).splitlines()
        return line

    return run


def started(folders: Folders, hours_ago: float, last_sign: float | None = None) -> Timer:
    """A timer that was started some hours ago, with its last sign of life so many minutes ago."""
    ago = now() - timedelta(hours=hours_ago)
    begun = Timer(what=Activity.LESSON, note="bow", started=ago)
    if last_sign is not None:
        sign = now() - timedelta(minutes=last_sign)
        begun = replace(begun, last_sign=sign, signs_every=20.0)
    with Log.open(folders.data) as log:
        log.timers.start(begun)
    return begun


def test_a_timer_is_started_asked_and_stopped(timer: Run, folders: Folders) -> None:
    assert timer("status") == "No timer is running."
    assert timer("start", "--what", "scales").endswith(": scales")
    assert timer("status").startswith("A timer for scales has run since ")
    assert json.loads(timer("status", "--json"))["timer"]["what"] == "scales"
    assert "less than a minute" in timer("stop", status=2)
    assert "scales · 5 minutes · thirds" in timer("stop", "--minutes", "5", "--note", "thirds")
    assert [(one.what, one.note) for one in logged_entries(folders)] == [
        (Activity.SCALES, "thirds")
    ]
    assert json.loads(timer("status", "--json")) == {"timer": None}


def test_its_length_is_the_time_that_went_by(timer: Run, folders: Folders) -> None:
    started(folders, 0.5)
    assert "lesson · 30 minutes · bow" in timer("stop")


def test_a_second_start_offers_what_can_be_done_with_the_first(
    timer: Run, folders: Folders
) -> None:
    started(folders, 2)
    said = timer("start", status=2)
    assert "A timer for lesson has run since" in said
    assert "(120 minutes)" in said
    for choice in ("--until", "--minutes", "--last-sign", "--discard"):
        assert choice in said
    assert logged_entries(folders) == []


@pytest.mark.parametrize("hours_ago", [14, -2])
def test_a_forgotten_timer_and_a_clock_set_back_are_asked_about(
    timer: Run, folders: Folders, hours_ago: float
) -> None:
    started(folders, hours_ago)
    assert "was that all practice?" in timer("stop", status=2)
    assert logged_entries(folders) == []
    assert "40 minutes" in timer("stop", "--minutes", "40")
    assert [one.seconds for one in logged_entries(folders)] == [2400]


def test_after_a_crash_it_is_kept_until_the_last_sign_of_life(timer: Run, folders: Folders) -> None:
    started(folders, 2, last_sign=70)
    assert "the program last ran at" in timer("stop", status=2)
    assert "lesson · 50 minutes" in timer("stop", "--last-sign")


def test_it_is_kept_until_a_time_or_dropped(timer: Run, folders: Folders) -> None:
    begun = started(folders, 3)
    until = (begun.started + timedelta(minutes=65)).isoformat()
    assert "65 minutes" in timer("stop", "--until", until)
    started(folders, 3)
    early = (now() - timedelta(hours=4)).isoformat()
    assert "before that" in timer("stop", "--until", early, status=2)
    assert timer("stop", "--discard") == "discarded: lesson"
    assert len(logged_entries(folders)) == 1


def test_without_a_timer_there_is_nothing_to_stop(timer: Run) -> None:
    assert "no timer runs" in timer("stop", status=2)
    assert "no timer runs" in timer("stop", "--discard", status=2)

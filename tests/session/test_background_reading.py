"""Reading in a child process: the same score, the cache filled, errors whole, an end on demand."""

import sys
import time
from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders, demo_score
from companion.score.reader_error import ReadingStopped
from companion.score.readers.opening import read_score
from companion.session.background_reading import Reading, kept_score

TUNE = "X:1\nT:Tune\nM:6/8\nL:1/8\nK:D\n" + "|:DED FEF|A3 A3:|\n" * 300


@pytest.fixture
def app_folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


def silently(step: str) -> None:
    assert step


def test_a_child_reads_the_same_score_as_we_would(app_folders: Folders) -> None:
    opened = Reading(demo_score(), app_folders).wait(silently)
    assert opened == read_score(demo_score(), app_folders.cache)


def test_what_was_read_once_needs_no_child(app_folders: Folders) -> None:
    assert kept_score(demo_score(), app_folders) is None
    opened = Reading(demo_score(), app_folders).wait(silently)
    assert kept_score(demo_score(), app_folders) == opened


def test_each_step_is_told(app_folders: Folders) -> None:
    told: list[str] = []
    Reading(demo_score(), app_folders).wait(told.append)
    assert "laying out the parts" in told


def test_a_cache_that_cannot_be_written_is_no_hindrance(tmp_path: Path) -> None:
    in_the_way = tmp_path / "cache"
    in_the_way.write_text("a file, not a folder")
    folders = Folders(tmp_path / "data", in_the_way)
    opened = Reading(demo_score(), folders).wait(silently)
    assert opened == read_score(demo_score(), in_the_way)
    assert kept_score(demo_score(), folders) is None


def test_what_the_child_cannot_read_is_told_as_it_would_be_here(
    app_folders: Folders, tmp_path: Path
) -> None:
    letter = tmp_path / "letter.musicxml"
    letter.write_text("<letter>Dear friend</letter>")
    with pytest.raises(CompanionError) as here:
        read_score(letter)
    with pytest.raises(CompanionError) as there:
        Reading(letter, app_folders).wait(silently)
    assert there.value.sentence() == here.value.sentence()


def test_a_file_that_is_not_there_is_told_before_any_child(
    app_folders: Folders, tmp_path: Path
) -> None:
    with pytest.raises(CompanionError, match="there is no such file"):
        kept_score(tmp_path / "none.xml", app_folders)


def test_a_child_can_be_stopped_while_it_reads(app_folders: Folders, tmp_path: Path) -> None:
    tune = tmp_path / "tune.abc"
    tune.write_text(TUNE)
    reading = Reading(tune, app_folders)
    with pytest.raises(ReadingStopped):
        reading.wait(lambda step: reading.stop())
    assert kept_score(tune, app_folders) is None


def test_a_reading_stopped_before_it_began_reads_nothing(app_folders: Folders) -> None:
    reading = Reading(demo_score(), app_folders)
    reading.stop()
    with pytest.raises(ReadingStopped):
        reading.wait(silently)
    assert kept_score(demo_score(), app_folders) is None


@pytest.mark.skipif(sys.platform != "linux", reason="waits for another process's child")
def test_stopping_ends_the_childs_own_children(app_folders: Folders, tmp_path: Path) -> None:
    """The orphans of the child are ours to wait for (prctl(2), PR_SET_CHILD_SUBREAPER is 36):
    that all of them can be waited for means that none is left running."""
    import ctypes
    import os
    import signal

    others = _children()  # of tests before, some of which live as long as this process
    tune = tmp_path / "tune.abc"
    tune.write_text(TUNE)
    assert ctypes.CDLL(None).prctl(36, 1, 0, 0, 0) == 0
    try:
        reading = Reading(tune, app_folders)
        with pytest.raises(ReadingStopped):
            reading.wait(lambda step: reading.stop())
        ends = []
        patience = time.monotonic() + 60
        while left := _children() - others:
            assert time.monotonic() < patience, f"still there: {left}"
            for child in left:
                ended, status = os.waitpid(child, os.WNOHANG)
                ends.extend([status] if ended else [])
            time.sleep(0.01)
        assert ends
        assert all(os.WTERMSIG(end) == signal.SIGKILL for end in ends)
    finally:
        ctypes.CDLL(None).prctl(36, 0, 0, 0, 0)


def _children() -> set[int]:
    """The processes this one has to wait for (proc(5))."""
    tasks = Path("/proc/self/task").glob("*/children")
    return {int(child) for task in tasks for child in task.read_text().split()}

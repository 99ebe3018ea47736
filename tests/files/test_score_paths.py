"""Finding a score while its path is typed."""

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.errors import CompanionError
from companion.files.file_kind import plain_file
from companion.files.score_paths import (
    as_path,
    common_beginning,
    completions,
    whole_path,
)


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in ("Quartet.musicxml", "quintet.MXL", "quarrel.txt", ".quiet.xml", "tune.abc"):
        (tmp_path / name).write_text("")
    (tmp_path / "quartets").mkdir()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOME", str(tmp_path))
    return tmp_path


def test_folders_come_first_and_only_scores_follow(shelf: Path) -> None:
    assert completions("qu") == ["quartets/", "Quartet.musicxml", "quintet.MXL"]


def test_hidden_files_show_once_their_dot_is_typed(shelf: Path) -> None:
    assert ".quiet.xml" not in completions("")
    assert completions(".q") == [".quiet.xml"]


def test_home_may_be_written_short(shelf: Path) -> None:
    assert completions("~/tu") == ["~/tune.abc"]


def test_a_whole_path_is_completed_in_its_folder(shelf: Path) -> None:
    assert completions(f"{shelf}/qui") == [f"{shelf}/quintet.MXL"]


@pytest.mark.parametrize("typed", ["none/", "tune.abc/x", "~nobody-at-all/x", "\0", "x" * 5000])
def test_where_there_is_nothing_nothing_is_offered(shelf: Path, typed: str) -> None:
    assert completions(typed) == []


@given(st.text(max_size=5), st.lists(st.text(max_size=5), min_size=1))
def test_the_common_beginning_begins_them_all(head: str, tails: list[str]) -> None:
    common = common_beginning([head + tail for tail in tails])
    assert common.startswith(head)
    assert all((head + tail).startswith(common) for tail in tails)
    longer = {(head + tail)[: len(common) + 1] for tail in tails}
    assert len(longer) > 1 or common in {head + tail for tail in tails}


def test_a_path_is_checked_before_it_is_opened(shelf: Path) -> None:
    assert plain_file(shelf / "tune.abc") == shelf / "tune.abc"
    for path, what in (
        (shelf, "this is a folder"),
        (shelf / "none.xml", "there is no such file"),
        (Path("/dev/null"), "this is a device"),
        (shelf / ("x" * 5000), "cannot be read"),
    ):
        with pytest.raises(CompanionError, match=what):
            plain_file(path)


def test_nobodys_home_is_told(shelf: Path) -> None:
    assert as_path("~/tune.abc") == shelf / "tune.abc"
    with pytest.raises(CompanionError, match="no such home folder"):
        as_path("~nobody-at-all/tune.abc")


@pytest.mark.skipif(os.name != "posix", reason="Windows takes no folder away that one works in")
def test_a_path_stays_as_it_is_if_the_folder_one_works_in_was_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    assert whole_path(Path("viola.pdf")) == gone / "viola.pdf"
    gone.rmdir()
    assert whole_path(Path("viola.pdf")) == Path("viola.pdf")

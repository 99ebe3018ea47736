"""`companion library`: a folder of scores indexed and searched from the command line."""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders
from companion.library.index import update_index
from companion.library.index_store import load_index

HOME = Path(__file__).parents[2]
DEMO = HOME / "assets" / "demo" / "chain_ferry.musicxml"
Telling = pytest.CaptureFixture[str]


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("data")


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The built-in quartet under two titles, and a file that is none."""
    shelf = tmp_path_factory.mktemp("shelf")
    text = DEMO.read_text("utf-8")
    (shelf / "z.musicxml").write_text(text, "utf-8")
    title = "<work-title>"
    assert title in text
    (shelf / "b.musicxml").write_text(text.replace(title, f"{title}Zweites: "), "utf-8")
    (shelf / "a.mid").write_bytes(b"nothing")
    return shelf


def library(data: Path, *words: str) -> int:
    return main(["--data-dir", str(data), "library", *words])


def test_a_table_in_order_of_titles_with_counts_at_the_end(
    data: Path, shelf: Path, capsys: Telling
) -> None:
    assert library(data, str(shelf)) == 0
    told = capsys.readouterr()
    lines = told.out.splitlines()
    paths = [line.split()[-1] for line in lines if line.endswith(".musicxml")]
    assert paths == ["z.musicxml", "b.musicxml"]
    assert lines[0].split()[:2] == ["title", "composer"]
    assert "    mixed meters in bars 13–20, 29–34" in lines
    assert lines[-2].startswith("a.mid: It is not a score")
    assert lines[-1] == "2 scores; 1 file could not be read."
    assert told.err == ""


def test_a_search_shows_what_every_word_fits(data: Path, shelf: Path, capsys: Telling) -> None:
    assert library(data, str(shelf), "zweites", "MIXED", "3:2", "parts=4") == 0
    out = capsys.readouterr().out
    assert "b.musicxml" in out
    assert "z.musicxml" not in out
    assert out.splitlines()[-1] == "1 of 2 scores; 1 file could not be read."
    assert library(data, str(shelf), "nowhere") == 0
    assert capsys.readouterr().out == "0 of 2 scores; 1 file could not be read.\n"


def test_json_for_programs(data: Path, shelf: Path, capsys: Telling) -> None:
    assert library(data, str(shelf), "z.musicxml", "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) == {"folder", "scores", "unreadable"}
    assert told["folder"] == str(shelf.resolve())
    (score,) = told["scores"]
    assert score["path"] == "z.musicxml"
    assert score["parts"] == ["Violin I", "Violin II", "Viola", "Cello"]
    assert score["mixed_meters"] == [
        {"first": 14, "last": 21, "printed": "13–20"},
        {"first": 30, "last": 35, "printed": "29–34"},
    ]
    assert score["conflicts"]["written"] == 2
    assert score["conflicts"]["ratios"] == ["3:2"]
    assert score["size"] == (shelf / "z.musicxml").stat().st_size
    assert score["mtime"] == pytest.approx((shelf / "z.musicxml").stat().st_mtime)
    assert score["hardest"][0]["first"] == 30
    (unreadable,) = told["unreadable"]
    assert unreadable["path"] == "a.mid"
    assert unreadable["problem"].endswith(".")


def test_the_map_says_the_same(data: Path, shelf: Path, capsys: Telling) -> None:
    library(data, str(shelf), "z.musicxml", "--json")
    (score,) = json.loads(capsys.readouterr().out)["scores"]
    main(["--data-dir", str(data), "map", str(shelf / "z.musicxml"), "--json"])
    mapped = json.loads(capsys.readouterr().out)
    conflicts = mapped["conflicts"]
    assert score["bars"] == len(mapped["bars"])
    assert score["conflicts"]["written"] + score["conflicts"]["in_notes"] == len(conflicts)
    assert score["mixed_meters"] == [
        {key: one[key] for key in ("first", "last", "printed")} for one in mapped["mixed_meters"]
    ]


def test_a_folder_that_is_not_there_is_one_sentence(
    data: Path, shelf: Path, capsys: Telling
) -> None:
    for folder, what in (("nowhere", "there is no such folder"), ("a.mid", "this is not a folder")):
        assert library(data, str(shelf / folder)) == 1
        told = capsys.readouterr()
        assert told.out == ""
        assert what in told.err
        assert len(told.err.splitlines()) == 1


def test_a_folder_without_scores_says_what_to_do(
    data: Path, tmp_path: Path, capsys: Telling
) -> None:
    assert library(data, str(tmp_path)) == 0
    assert capsys.readouterr().out.startswith("0 scores. Put scores into this folder")


@pytest.mark.parametrize("word", ["parts=x", "parts=", "PARTS=4x"])
def test_parts_without_a_number_are_refused(
    data: Path, shelf: Path, capsys: Telling, word: str
) -> None:
    assert library(data, str(shelf), "mixed", word) == 2
    assert "is not a number of parts. Write, for example, parts=4." in capsys.readouterr().err
    assert library(data, str(shelf), "parts=4") == 0


def heard(terminal: int) -> Iterator[bytes]:
    """What is written to a terminal until nobody has it open any more."""
    with contextlib.suppress(OSError):
        while piece := os.read(terminal, 1000):
            yield piece


@pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of its own")
def test_ctrl_c_stops_and_what_was_indexed_stays(tmp_path: Path) -> None:
    import pty

    shelf = tmp_path / "shelf"
    shelf.mkdir()
    for number in range(60):
        (shelf / f"{number:02}.musicxml").write_bytes(DEMO.read_bytes())
    ours, theirs = pty.openpty()
    command = [sys.executable, "-m", "companion", "--data-dir", str(tmp_path / "data"), "library"]
    with subprocess.Popen(
        [*command, str(shelf)],
        cwd=HOME,
        stdout=subprocess.PIPE,
        stderr=theirs,
        start_new_session=True,
    ) as program:
        os.close(theirs)
        told = b""
        for piece in heard(ours):
            is_begun = b"1 of 60" in told
            told += piece
            if not is_begun and b"1 of 60" in told:
                os.killpg(program.pid, signal.SIGINT)
    os.close(ours)
    assert program.returncode == 130
    assert b"Traceback" not in told
    assert told.rstrip().endswith(b"The same command continues from here.")
    folders = Folders(tmp_path / "data", tmp_path / "data" / "cache")
    begun = load_index(folders, shelf)
    assert begun is not None
    assert 1 <= len(begun.scores) < 60
    assert len(update_index(folders, shelf).scores) == 60


def test_the_command_is_light_to_load() -> None:
    code = (
        "import sys, companion.cli.library_command;"
        "print({'music21', 'numpy', 'lxml', 'textual', 'multiprocessing'} & set(sys.modules))"
    )
    told = subprocess.run([sys.executable, "-c", code], cwd=HOME, capture_output=True, text=True)
    assert told.stdout.strip() == "set()"

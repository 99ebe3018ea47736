"""The teacher's page says what the program does: its examples open, its tables are the keys."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from companion.click.plan.layers import Layer
from companion.exercise.file.exercise_file import read_exercise
from companion.exercise.file.exercise_schema import DRILL, EXERCISE, FEATURES
from companion.files.folders import Folders, demo_score
from companion.practice.attempt import Outcome
from companion.session.open_exercise import check_exercise, exercise_library_folder

PAGE = (exercise_library_folder() / "FORMAT.md").read_text("utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```", PAGE, re.S)


@pytest.mark.parametrize("number", range(len(EXAMPLES)))
def test_every_example_opens(number: int, tmp_path: Path) -> None:
    (tmp_path / "chain_ferry.musicxml").write_bytes(demo_score().read_bytes())
    path = tmp_path / "x.toml"
    path.write_text(EXAMPLES[number], "utf-8")
    assert check_exercise(path, Folders(tmp_path / "d", tmp_path / "c")).drills


def test_four_lines_are_four_lines() -> None:
    assert EXAMPLES[0].count("\n") == 4


def test_the_page_is_short_enough_to_be_read() -> None:
    assert len(PAGE.split("\n")) < 200


def test_the_tables_have_every_key_and_no_other() -> None:
    whole, drill = PAGE.split("## A drill")
    above = whole.split("## The whole exercise")[1]
    listed = re.findall(r"^\| `([a-z-]+)` \|", above, re.M)
    assert listed == [key for key in EXERCISE["properties"] if key != "drill"]
    listed = re.findall(r"^\| `([a-z-]+)` \|", drill.split("## The short")[0], re.M)
    assert sorted(listed) == sorted(DRILL["properties"])


def test_every_word_a_key_can_have_is_on_the_page() -> None:
    for word in (*Layer, *FEATURES, *Outcome):
        assert word in PAGE


def test_every_tempo_on_the_page_can_be_read() -> None:
    rows = re.search(r"\*\*Tempo\*\*.*?\n\n(.*?)\n\n", PAGE, re.S)
    assert rows
    written = re.findall(r"`([^`]+)`", rows[1])
    assert len(written) >= 6
    for tempo in written:
        text = f'format = 2\ntitle = "x"\n[[drill]]\npattern = "2/4 h"\ntempo = {tempo}\n'
        assert read_exercise(text.encode(), "x").exercise.drills[0].tempo

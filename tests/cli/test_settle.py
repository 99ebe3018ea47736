"""`companion settle`: what a player decides holds for every later command."""

import json
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import demo_score

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path))


def relation_of(capsys: Telling, bar: int) -> tuple[str, str]:
    assert main(["map", DEMO, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)["assumptions"]
    return next(
        (told["value"], told["because"])
        for told in found
        if told["bar"] == bar and told["what"] == "tempo relation"
    )


def test_a_relation_that_was_settled_overrules_the_page_until_it_is_taken_back(
    capsys: Telling,
) -> None:
    before = relation_of(capsys, 48)
    assert main(["settle", DEMO, "--relation", "47=beat"]) == 0
    capsys.readouterr()
    assert relation_of(capsys, 48) == ("beat = beat", "player")
    assert main(["settle", DEMO, "--relation", "47=page"]) == 0
    capsys.readouterr()
    assert relation_of(capsys, 48) == before


def test_my_part_is_remembered(capsys: Telling) -> None:
    assert main(["settle", DEMO, "--part", "viola"]) == 0
    capsys.readouterr()
    assert main(["settle", DEMO, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"part": "P3", "relations": {}, "printed": {}}


def test_a_choice_that_cannot_be_kept_is_an_error(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Telling
) -> None:
    (tmp_path / "scores").write_text("in the way")
    assert main(["settle", DEMO, "--part", "viola"]) == 1
    assert "could not be kept" in capsys.readouterr().err


def test_a_movement_that_begins_has_no_relation_to_settle(tmp_path: Path, capsys: Telling) -> None:
    source = Path(DEMO).read_text().replace('measure number="13"', 'measure number="1"')
    (tmp_path / "two.musicxml").write_text(source)
    assert main(["settle", str(tmp_path / "two.musicxml"), "--relation", "II:1=beat"]) == 2
    assert "a new movement begins in bar II:1" in capsys.readouterr().err


@pytest.mark.parametrize("text", ["47", "47=never", "46=beat", "999=beat"])
def test_a_relation_that_cannot_be_meant_is_refused(text: str, capsys: Telling) -> None:
    assert main(["settle", DEMO, "--relation", text]) == 2
    assert capsys.readouterr().err.count("\n") == 1

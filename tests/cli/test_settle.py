"""`companion settle`: what a player decides holds for every later command."""

import json
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.desk.demo import demo_score

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
    assert main(["settle", DEMO, "--relation", "48=beat"]) == 0
    capsys.readouterr()
    assert relation_of(capsys, 48) == ("beat = beat", "player")
    assert main(["settle", DEMO, "--relation", "48=page"]) == 0
    capsys.readouterr()
    assert relation_of(capsys, 48) == before


def test_my_part_is_remembered(capsys: Telling) -> None:
    assert main(["settle", DEMO, "--part", "viola"]) == 0
    capsys.readouterr()
    assert main(["settle", DEMO, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"part": "P3", "relations": {}}


@pytest.mark.parametrize("text", ["48", "48=never", "47=beat", "999=beat"])
def test_a_relation_that_cannot_be_meant_is_refused(text: str, capsys: Telling) -> None:
    assert main(["settle", DEMO, "--relation", text]) == 2
    assert capsys.readouterr().err.count("\n") == 1

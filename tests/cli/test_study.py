"""`companion study`: the score explained, for people, as a page, and for programs."""

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


def told(capsys: Telling, *words: str) -> str:
    assert main(["study", DEMO, *words]) == 0
    return capsys.readouterr().out


def in_one(page: str) -> str:
    """A page as it reads, wherever its lines end."""
    return " ".join(page.split())


def test_the_violas_sheet_names_what_pulls_and_what_returns(capsys: Telling) -> None:
    sheet = in_one(told(capsys, "--part", "viola"))
    assert "Bars 13–20: 3 against 2 in the beat. You and Cello divide it into 3" in sheet
    assert "Yours are 2, 5, 6 in bars 13" in sheet
    assert "bars 1–8 again, note for note" in sheet
    assert "rule of thumb" in sheet


def test_a_marked_tempo_is_told_as_marked(capsys: Telling) -> None:
    page = in_one(told(capsys, "--part", "cello", "--all"))
    assert "6/8 to 3/4: a new tempo is marked, quarter = 76, after dotted quarter = 69" in page
    assert "3/4 to 6/8: a new tempo is marked, dotted quarter = 69, after quarter = 76" in page


def test_hard_is_a_word_and_its_numbers_are_asked_for(capsys: Telling) -> None:
    assert "of 100" not in in_one(told(capsys, "--part", "viola"))
    numbers = in_one(told(capsys, "--part", "viola", "--numbers"))
    assert "Hard to play. (Hardness" in numbers and "of 100, by rule of thumb" in numbers


def test_what_is_left_off_the_page_is_counted_with_the_command_for_it(capsys: Telling) -> None:
    page = in_one(told(capsys, "--part", "violin 1"))
    assert "And 1 more (handed on: 1)." in page
    assert "--part 'Violin I' --all" in page


def test_bars_in_a_row_with_one_count_are_counted_once(capsys: Telling) -> None:
    page = told(capsys, "--part", "viola", "--bars", "13-20")
    assert "  bars 13–20: 1 2 3 4 5 6\n" in page
    assert page.count("1 2& 3 in the beat") == 1
    assert page.endswith(" are by rule of thumb too; --numbers shows the numbers.\n")


def test_some_bars_are_counted_aloud(capsys: Telling) -> None:
    page = told(capsys, "--part", "cello", "--bars", "13-14")
    assert "3 against 2: 1 2& 3 in the beat" in page
    assert "theirs in 2/4" in page
    assert "Bars 30" not in page


def test_every_part_is_studied_where_none_is_named_or_settled(capsys: Telling) -> None:
    studies = json.loads(told(capsys, "--json"))["studies"]
    assert [each["part"]["id"] for each in studies] == ["P1", "P2", "P3", "P4"]
    assert main(["settle", DEMO, "--part", "viola"]) == 0
    capsys.readouterr()
    studies = json.loads(told(capsys, "--json"))["studies"]
    assert [each["part"]["name"] for each in studies] == ["Viola"]


def test_every_sentence_names_bars_that_are_there(capsys: Telling) -> None:
    for each in json.loads(told(capsys, "--json"))["studies"]:
        for advice in each["everything"]:
            assert 1 <= advice["first"] <= advice["last"] <= 61
            assert advice["text"].endswith(".") and "bar" in advice["text"].lower()


def test_a_page_to_keep_is_markdown(capsys: Telling) -> None:
    page = told(capsys, "--part", "viola", "--markdown")
    assert page.startswith("# Four for the Chain Ferry: Viola\n")
    assert "\n## Interlock\n" in page


def test_a_page_to_keep_hangs_what_belongs_to_a_bar_below_it(capsys: Telling) -> None:
    # A list item inside another is indented by the width of the outer one's marker: CommonMark
    # 0.31, list items.
    lines = told(capsys, "--part", "viola", "--bars", "13", "--markdown").splitlines()
    at = lines.index("- bar 13: 1 2 3 4 5 6")
    assert lines[at + 1] == "  - theirs in 2/4: 1 2"
    assert lines[at + 2].startswith("  - 3 against 2: ")


@pytest.mark.parametrize("command", ["study", "settle", "progress", "goal"])
@pytest.mark.parametrize("part", ["", " "])
def test_an_empty_part_is_refused(capsys: Telling, command: str, part: str) -> None:
    assert main([command, DEMO, "--part", part]) == 2
    assert "no part is named" in capsys.readouterr().err


def test_a_score_without_anything_says_so(capsys: Telling, tmp_path: Path) -> None:
    plain = tmp_path / "plain.abc"
    plain.write_text("X:1\nT:Plain\nM:2/4\nL:1/4\nK:C\nCD|EF|GA|c2|\n")
    assert main(["study", str(plain)]) == 0
    assert "No conflicts here" in capsys.readouterr().out

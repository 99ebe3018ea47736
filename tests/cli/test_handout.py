"""`companion handout` from the command line to the page."""

import json
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import demo_score
from tests.publish.handout.reading import read

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())

EXERCISE = """\
format = 1
title = "Three over two"
for = "two who clap"
due = 2030-05-03
instructions = "Slowly, **then** in time."

[[drill]]
title = "Hands"
pattern = '''
2/4 e3 e3 e3 e3 e3 e3
2/4 e e e e
'''
listen = "where both meet"
goal = { tempo = 60, times = 2 }
"""


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))


def test_one_page_for_one_part(tmp_path: Path, capsys: Telling) -> None:
    out = tmp_path / "viola.html"
    assert main(["handout", DEMO, "--part", "viola", "--bars", "13", "-o", str(out)]) == 0
    told = capsys.readouterr().out
    assert told.startswith(f"Written: {out}: Four for the Chain Ferry, Viola, bar 13 (")
    assert read(out.read_text("utf-8")).headings[0] == (1, "Four for the Chain Ferry")


def test_the_same_for_programs(tmp_path: Path, capsys: Telling) -> None:
    out = tmp_path / "viola.html"
    words = ["handout", DEMO, "--part", "viola", "--bars", "13", "-o", str(out), "--json"]
    assert main(words) == 0
    assert json.loads(capsys.readouterr().out) == {
        "pages": [
            {
                "path": str(out),
                "about": "Four for the Chain Ferry, Viola, bar 13",
                "bytes": out.stat().st_size,
                "missing": None,
            }
        ]
    }


def test_the_tempo_to_arrive_at_can_be_said(tmp_path: Path) -> None:
    out = tmp_path / "viola.html"
    words = ["handout", DEMO, "--part", "viola", "--bars", "13", "--tempo", "90", "-o", str(out)]
    assert main(words) == 0
    text = read(out.read_text("utf-8")).text
    assert "dotted quarter = 90 (as asked)" in text and "slow: 54" in text


def test_an_exercise_brings_the_teachers_words(tmp_path: Path) -> None:
    (tmp_path / "clap.toml").write_text(EXERCISE)
    out = tmp_path / "clap.html"
    assert main(["handout", str(tmp_path / "clap.toml"), "-o", str(out)]) == 0
    page = read(out.read_text("utf-8"))
    assert [text for level, text in page.headings if level <= 2] == [
        "Three over two",
        "Hands",
        "What you noted",
    ]
    for said in (
        "for two who clap",
        "Due on 3 May 2030.",
        "Slowly, then in time.",
        "Done when it was held at quarter = 60, 2 times.",
        "Listen for: where both meet",
    ):
        assert said in page.text
    drawn = [one["class"] for one in page.all("svg") if one.get("role") == "img"]
    assert drawn == ["map", "lanes", "notes"]
    assert "as the exercise says: 60 (1 time)" in page.text


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--part", "viola", "-o", "page.pdf"], "a handout cannot be written as “.pdf”"),
        (["-o", "page.html"], "one page is for one part"),
        (["--part", "tuba", "-o", "page.html"], "there is no part “tuba”"),
        (["--part", "1", "--bars", "99", "-o", "page.html"], "there is no bar 99"),
        (["--part", "1", "--tempo", "fast", "-o", "page.html"], "“fast” is not a tempo"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(
    words: list[str],
    told: str,
    tmp_path: Path,
    capsys: Telling,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["handout", DEMO, *words]) == 2
    assert told in capsys.readouterr().err
    assert not list(tmp_path.glob("page*"))


def test_a_page_that_cannot_be_written_is_told(tmp_path: Path, capsys: Telling) -> None:
    out = tmp_path / "nowhere" / "page.html"
    assert main(["handout", DEMO, "--part", "1", "--bars", "13", "-o", str(out)]) == 1
    assert "could not be written" in capsys.readouterr().err


def test_an_exercise_says_its_part_itself(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "clap.toml").write_text(EXERCISE)
    words = ["handout", str(tmp_path / "clap.toml"), "--part", "1", "-o", str(tmp_path / "p.html")]
    assert main(words) == 2
    assert "an exercise has its own part" in capsys.readouterr().err


def test_a_built_in_exercise_goes_by_its_name_and_for_an_instrument(
    tmp_path: Path, capsys: Telling
) -> None:
    out = tmp_path / "x.html"
    words = ["handout", "two_beside_three", "--instrument", "cello", "-o", str(out)]
    assert main(words) == 0
    page = read(out.read_text("utf-8"))
    assert page.headings[0] == (1, "Barlines that travel: two beside three (cello)")
    assert "<title>Barlines that travel: two beside three (cello)</title>" in out.read_text("utf-8")


def test_a_folder_of_pages_replaces_nobodys_page(tmp_path: Path, capsys: Telling) -> None:
    site = tmp_path / "site"
    site.mkdir()
    (site / "index.html").write_bytes(b"mine")
    words = ["handout", DEMO, "--bars", "13", "-o", str(site)]
    assert main(words) == 1
    assert "index.html would be replaced" in capsys.readouterr().err
    assert [one.name for one in site.iterdir()] == ["index.html"]
    (site / "index.html").unlink()
    assert (main(words), main(words)) == (0, 0)

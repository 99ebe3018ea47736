"""What `settle` keeps is heeded by every command that works on a part."""

import argparse
import json
import wave
from collections.abc import Iterator
from pathlib import Path

import pytest

from companion.cli.main import COMMANDS, _load, main
from companion.files.folders import demo_score

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())
BARS = ("--bars", "13-16")

ASKED = {
    "click": ("click", DEMO, *BARS, "--tempo", "60", "-o", "OUT/a.mid"),
    "exercise new": ("exercise", "new", "--title", "T", "--score", DEMO, "--bars", "13-16",
                     "--tempo", "60", "-o", "OUT/e.toml"),
    "goal": ("goal", DEMO, *BARS, "--tempo", "60"),
    "handout": ("handout", DEMO, *BARS, "-o", "OUT/page.html"),
    "listen": ("listen", "OUT/silence.wav", DEMO, *BARS, "--tempo", "60"),
    "log add": ("log", "add", "--score", DEMO, *BARS, "--tempo", "60", "--outcome", "held"),
    "part": ("part", DEMO, "-o", "OUT/mine.musicxml"),
    "progress": ("progress", DEMO),
    "study": ("study", DEMO),
    "today": ("today", "--score", DEMO),
}  # fmt: skip
"""Each command as it is asked of a part without naming one."""

ELSEWHERE = {"log", "settle"}
"""`log --part` narrows what is shown, across scores; `settle --part` is the choice itself."""


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    with wave.open(str(tmp_path / "silence.wav"), "wb") as file:
        file.setparams((1, 2, 8000, 0, "NONE", ""))
        file.writeframes(b"\0\0" * 80_000)


def taking_a_part(parser: argparse.ArgumentParser, name: str) -> Iterator[str]:
    for action in parser._actions:
        if action.dest == "part":
            yield name
        if isinstance(action, argparse._SubParsersAction):
            for word, sub in action.choices.items():
                yield from taking_a_part(sub, f"{name} {word}")


def asked(name: str, out: Path) -> list[str]:
    return [word.replace("OUT", str(out)) for word in ASKED[name]]


def test_every_command_that_takes_a_part_is_in_the_table() -> None:
    found = set()
    for name in COMMANDS:
        parser = argparse.ArgumentParser()
        _load(name).arguments(parser)
        found |= set(taking_a_part(parser, name))
    assert found - ELSEWHERE == set(ASKED)


@pytest.mark.parametrize("name", sorted(ASKED))
def test_it_works_on_the_part_that_was_chosen(name: str, tmp_path: Path, capsys: Telling) -> None:
    assert main(["settle", DEMO, "--part", "viola"]) == 0
    capsys.readouterr()
    status = main(asked(name, tmp_path))
    told = capsys.readouterr()
    if name == "listen":  # it got as far as hearing that nobody plays
        assert "no part" not in told.err and "silent" in told.err + told.out
        return
    assert status == 0
    if name == "exercise new":
        assert 'part = "Viola"' in (tmp_path / "e.toml").read_text()
    elif name == "study":
        heads = [line for line in told.out.splitlines() if line.startswith("Four for the")]
        assert len(heads) == 1 and heads[0].endswith("Viola")
    else:
        assert "Viola" in told.out
        assert "Violin" not in told.out


@pytest.mark.parametrize("name", sorted(set(ASKED) - {"study", "today"}))
def test_without_a_choice_it_says_how_to_make_one(
    name: str, tmp_path: Path, capsys: Telling
) -> None:
    assert main(asked(name, tmp_path)) == 2
    why = (
        "one page is for one part" if name == "handout" else "no part is named, and none was chosen"
    )
    assert why in capsys.readouterr().err


def test_a_relation_that_was_chosen_holds_when_repeats_are_written_out(
    tmp_path: Path, capsys: Telling
) -> None:
    before = relations(capsys, "--unfolded")
    assert main(["settle", DEMO, "--relation", "47=beat"]) == 0
    capsys.readouterr()
    after = relations(capsys, "--unfolded")
    assert [one["because"] for one in after if one["printed"].strip("()") == "47"] == ["player"]
    assert len(after) == len(before)


def relations(capsys: Telling, *options: str) -> list[dict[str, str]]:
    assert main(["map", DEMO, "--json", *options]) == 0
    found = json.loads(capsys.readouterr().out)["assumptions"]
    return [told for told in found if told["what"] == "tempo relation"]

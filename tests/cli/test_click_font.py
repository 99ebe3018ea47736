"""`companion click --font`: the others through a SoundFont of the player's."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import demo_score
from tests.click.soundfont import soundfont

WORDS = ["click", str(demo_score()), "--part", "viola", "--bars", "13", "--tempo", "60"]


def made(out: Path, *words: str) -> bytes:
    assert main([*WORDS, "--with", "cello", *words, "-o", str(out)]) == 0
    return out.read_bytes()


def test_the_others_play_through_it(tmp_path: Path) -> None:
    pytest.importorskip("tinysoundfont")
    file = soundfont(tmp_path / "sines.sf2", {48: 0})
    through, without = tmp_path / "font.wav", tmp_path / "tone.wav"
    assert made(through, "--font", str(file)) != made(without)


@pytest.mark.parametrize("words", [["--with", "cello"], []])
def test_what_is_not_there_is_told_and_nothing_written(
    words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "x.wav"
    assert main([*WORDS, *words, "--font", str(tmp_path / "nowhere.sf2"), "-o", str(out)]) == 2
    assert "there is no such file" in capsys.readouterr().err
    assert not out.exists()

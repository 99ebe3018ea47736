"""`companion beat`: a click without a score as a file, and what it refuses."""

import wave
from pathlib import Path

import mido
import pytest

from companion.cli.main import main


@pytest.fixture(autouse=True)
def own_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))


def test_two_minutes_of_a_ratio_are_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "beat.wav"
    assert main(["beat", "3:2", "--tempo", "60", "-o", str(out)]) == 0
    # 60 bars, in each of them 3 and 2.
    told = capsys.readouterr().out
    assert told == f"Written: {out}: 3:2, 60 bars, quarter = 60, 300 strokes, 2:00\n"
    with wave.open(str(out)) as sound:
        assert sound.getnframes() >= 120 * sound.getframerate()


def test_a_midi_file_has_both_sides_at_their_places(tmp_path: Path) -> None:
    out = tmp_path / "beat.mid"
    assert main(["beat", "3:2", "--tempo", "60", "--repeat", "1", "-o", str(out)]) == 0
    now, struck = 0.0, set()
    for message in mido.MidiFile(out):
        now += message.time
        if message.type == "note_on" and message.velocity:
            struck.add(round(now, 3))
    # A bar of two seconds: three over two beats.
    assert sorted(struck) == [0.0, 0.667, 1.0, 1.333]


def test_bars_counted_in_are_told_beside_those_played(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "beat.wav"
    words = "beat 3:2 --tempo 60 --count-in 2 --repeat 1 -o".split()
    assert main([*words, str(out)]) == 0
    assert ": 3:2, 1 bar after 2 counted in, quarter = 60, " in capsys.readouterr().out


def test_a_ladder_with_a_drone_is_as_long_as_its_steps(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = str(tmp_path / "beat.wav")
    plan = ["--tempo", "60", "to", "120", "by", "60,", "4", "times", "each"]
    assert main(["beat", "2/4", *plan, "--drone", "A3", "-o", out]) == 0
    assert "0:12" in capsys.readouterr().out  # four bars of two seconds, four of one


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["3:0"], "is not a ratio"),
        (["6/0"], "is not a meter"),
        (["3:2", "--tempo", "fast"], "fast"),
        (["3:2", "--log", "sleep"], "Choose one of: scales"),
        (["3:2"], "the app needs a terminal"),
        (["3:2", "-o", "beat.mp3"], "cannot be written"),
    ],
)
def test_what_cannot_be_meant_is_told(
    words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["beat", *words]) != 0
    assert says in capsys.readouterr().err

"""`companion click` from the command line to the samples in the file.

Where 3 against 2 strikes: 0, 1/3, 1/2, 2/3 of the beat (J. Schillinger, The Schillinger
System of Musical Composition, 1946, Book I, resultant 3:2 = 2 1 1 2).
"""

import json
import wave
from fractions import Fraction
from pathlib import Path

import mido
import numpy as np
import pytest

from companion.cli.main import main
from companion.desk.demo import demo_score

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())
RATE = 48000


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))


def onsets(path: Path) -> list[int]:
    """Where sound begins after silence, read from the file's own samples."""
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getsampwidth()) == (RATE, 2)
        samples = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        loud = np.abs(samples.reshape(-1, file.getnchannels())).max(axis=1) > 0
    # Silence of 20 ms must come before an onset: a voice may cross zero, not stay there.
    starts = np.flatnonzero(loud)
    return [int(i) for i in starts if not loud[max(0, i - RATE // 50) : i].any()]


def click(tmp_path: Path, *words: str, out: str = "click.wav") -> Path:
    path = tmp_path / out
    assert main(["click", DEMO, "-o", str(path), *words]) == 0
    return path


def test_both_sides_sound_in_a_conflict_each_on_its_sample(tmp_path: Path) -> None:
    path = click(tmp_path, "--part", "viola", "--bars", "14-15", "--tempo", "77")
    beat = Fraction(60 * RATE, 77)
    shares = (Fraction(0), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3))
    assert onsets(path) == [round((k + share) * beat) for k in range(4) for share in shares]


def test_elsewhere_only_the_beat_sounds(tmp_path: Path) -> None:
    path = click(tmp_path, "--part", "1", "--bars", "2-3", "--tempo", "60", "--repeat", "2")
    assert onsets(path) == [k * RATE for k in range(8)]


def test_the_beat_is_that_of_the_part(tmp_path: Path) -> None:
    in_three = click(
        tmp_path, "--part", "viola", "--bars", "30", "--tempo", "90", "--layers", "beat"
    )
    in_two = click(
        tmp_path,
        "--part",
        "cello",
        "--bars",
        "30",
        "--tempo",
        "60",
        "--layers",
        "beat",
        out="b.wav",
    )
    assert onsets(in_three) == [0, 32000, 64000]
    assert onsets(in_two) == [0, 48000]


def test_a_count_in_comes_before(tmp_path: Path) -> None:
    path = click(
        tmp_path,
        "--part",
        "1",
        "--bars",
        "2",
        "--tempo",
        "60",
        "--count-in",
        "1",
        "--layers",
        "beat",
    )
    assert onsets(path) == [0, 48000, 96000, 144000]


def test_a_midi_file_strikes_on_exact_ticks(tmp_path: Path) -> None:
    words = ["--part", "viola", "--bars", "14", "--tempo", "60"]
    midi = mido.MidiFile(click(tmp_path, *words, out="click.mid"))
    dotted = midi.ticks_per_beat * 3 // 2
    struck = set()
    for track in midi.tracks:
        at = 0
        for message in track:
            at += message.time
            if message.type == "note_on" and message.velocity:
                assert message.channel == 9
                struck.add(at)
    shares = (Fraction(0), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3))
    assert struck == {int((k + share) * dotted) for k in range(2) for share in shares}


def test_programs_get_the_strokes_as_json(tmp_path: Path, capsys: Telling) -> None:
    click(tmp_path, "--part", "Cel", "--bars", "B-B+1", "--tempo", "72.5", "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["part"] == {"id": "P4", "name": "Cello"}
    assert (told["first"], told["last"]) == (14, 15)
    assert told["tempo"] == {"bpm": "145/2", "beat": "dotted quarter"}
    assert told["strokes"][0]["layer"] == "beat"


@pytest.mark.parametrize(
    "words",
    [
        ["--part", "oboe", "--bars", "1", "--tempo", "60", "-o", "x.wav"],
        ["--part", "1", "--bars", "999", "--tempo", "60", "-o", "x.wav"],
        ["--part", "1", "--bars", "1", "--tempo", "0", "-o", "x.wav"],
        ["--part", "1", "--bars", "1", "--tempo", "fast", "-o", "x.wav"],
        ["--part", "1", "--bars", "1", "--tempo", "60", "-o", "x.txt"],
        ["--part", "1", "--bars", "1", "--tempo", "60", "-o", "x.wav", "--layers", "beet"],
        ["--part", "1", "--bars", "1", "--tempo", "60", "-o", "x.wav", "--repeat", "0"],
        ["--part", "1", "--bars", "1", "--tempo", "60", "-o", "x.wav", "--rate", "7"],
    ],
)
def test_what_cannot_be_meant_is_refused_and_nothing_written(
    words: list[str], tmp_path: Path, capsys: Telling, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["click", DEMO, *words]) == 2
    told = capsys.readouterr()
    assert told.out == "" and told.err.count("\n") == 1
    assert not list(tmp_path.glob("x.*"))


def test_a_place_that_cannot_be_written_to_is_told(tmp_path: Path, capsys: Telling) -> None:
    words = ["--part", "1", "--bars", "1", "--tempo", "60", "-o", str(tmp_path / "no" / "x.wav")]
    assert main(["click", DEMO, *words]) == 1
    assert capsys.readouterr().err.count("\n") == 1

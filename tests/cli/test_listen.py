"""`companion listen`: from a sound file to the sentence; a plain sentence for each bad take."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from companion.cli.main import main
from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import planned
from companion.click.plan.tempo_plan import Fixed
from companion.files.folders import demo_score
from companion.listening.due_notes import OFF_THE_BEAT, DueNote
from companion.listening.due_times import due_in
from companion.listening.take import TakeError, read_take
from companion.score.laying import lay
from companion.score.passage import passage
from companion.score.readers.opening import read_score

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())
RATE = 22050
WORDS = ("--part", "viola", "--bars", "13-20", "--tempo", "72")
Wave = NDArray[np.float64]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))


@cache
def notes() -> tuple[DueNote, ...]:
    which = passage(lay(read_score(demo_score(), None).score), 2, 14, 21)
    return due_in(which, planned(which, (), ClickSettings(Fixed(Fraction(72))))).notes


def plucked(late: float = 0.0, without: int = -1) -> Wave:
    """The bars on a plucked string, the notes off the beat so many seconds late."""
    due = notes()
    wave: Wave = np.zeros(round((float(due[-1].seconds) + 2.5) * RATE))
    at = np.arange(round(0.4 * RATE)) / RATE
    for n, note in enumerate(due):
        begin = round((1.0 + float(note.seconds) + late * (note.side == OFF_THE_BEAT)) * RATE)
        for key in note.pitches if n != without else ():
            hertz = 440 * 2 ** ((key - 69) / 12)
            tone = sum(np.sin(2 * np.pi * hertz * k * at) / k for k in range(1, 7))
            wave[begin : begin + len(at)] += tone * np.exp(-8 * at)
    wave *= 0.5 / np.abs(wave).max()
    wave += np.random.default_rng(1).normal(0, 5e-4, len(wave))
    return wave


def listen(tmp_path: Path, wave: Wave, *words: str, rate: int = RATE) -> int:
    soundfile.write(tmp_path / "take.wav", wave, rate)
    return main(["listen", str(tmp_path / "take.wav"), DEMO, *WORDS, *words])


def test_programs_read_every_note_side_and_tempo(tmp_path: Path, capsys: Telling) -> None:
    assert listen(tmp_path, plucked(late=0.04, without=5), "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) == {"notes", "added", "sides", "tempo", "advice", "outcome"}
    assert len(told["notes"]) == len(notes())
    first = told["notes"][0]
    assert list(first) == [
        *("position", "printed", "quarters", "side", "begun_s", "early_late_ms", "certain"),
    ]
    assert (first["position"], first["printed"], first["quarters"]) == (14, "13", "1/2")
    assert first["begun_s"] == pytest.approx(1.04 + float(notes()[0].seconds), abs=0.05)
    left_out = told["notes"][5]
    assert (left_out["begun_s"], left_out["early_late_ms"], left_out["certain"]) == (
        None,
        None,
        True,
    )
    assert told["sides"]["on the beat"]["mean_ms"] == 0
    assert told["sides"]["off the beat"]["mean_ms"] == pytest.approx(40, abs=8)
    assert set(told["sides"]["off the beat"]) == {"mean_ms", "spread_ms", "notes"}
    assert told["tempo"]["beats_a_minute"] == pytest.approx(72, abs=0.5)
    assert told["tempo"]["drift_percent"] == pytest.approx(0, abs=2)
    assert told["added"] == []
    assert told["outcome"] in ("shaky", "held")
    assert told["advice"].startswith("The notes off the beat come ")


def test_a_player_reads_one_sentence_a_strip_and_the_outcome(
    tmp_path: Path, capsys: Telling
) -> None:
    assert listen(tmp_path, plucked(late=0.035)) == 0
    advice, _, *rest = capsys.readouterr().out.splitlines()
    late = re.match(r"The notes off the beat come (\d+) ms late, most in bar \d+", advice)
    assert late is not None
    assert int(late[1]) == pytest.approx(35, abs=8)
    assert any(line.startswith("off the beat") and "›" in line for line in rest)
    assert "Proposed outcome: held." in rest
    assert rest[-1] == "Tuning is not judged."
    assert max(map(len, rest)) <= 80


def test_stereo_8_khz_and_flac_are_heard_as_well(tmp_path: Path, capsys: Telling) -> None:
    wave = plucked()
    soundfile.write(tmp_path / "take.flac", np.column_stack([wave, wave]), RATE)
    assert main(["listen", str(tmp_path / "take.flac"), DEMO, *WORDS, "--numbers"]) == 0
    assert "beats a minute, steady" in capsys.readouterr().out
    slow = np.interp(np.arange(0, len(wave), RATE / 8000), np.arange(len(wave)), wave)
    assert listen(tmp_path, slow, rate=8000) == 0


def test_channels_that_cancel_each_other_are_heard(tmp_path: Path, capsys: Telling) -> None:
    wave = plucked()
    soundfile.write(tmp_path / "take.wav", np.column_stack([wave, -wave]), RATE)
    assert main(["listen", str(tmp_path / "take.wav"), DEMO, *WORDS]) == 0
    assert "in time" in capsys.readouterr().out


def other_notes() -> Wave:
    """As many plucked notes as in the bars, at other times and pitches."""
    chance, wave = np.random.default_rng(5), 1e-4 * plucked()
    at, seconds = np.arange(round(0.4 * RATE)) / RATE, 1.0
    while seconds < len(wave) / RATE - 1:
        begin, hertz = round(seconds * RATE), 440 * 2 ** (int(chance.integers(-19, 11)) / 12)
        tone = sum(np.sin(2 * np.pi * hertz * k * at) / k for k in range(1, 7))
        wave[begin : begin + len(at)] += 0.2 * tone * np.exp(-8 * at)
        seconds += float(chance.choice([0.3, 0.45, 0.7]))
    return wave


@pytest.mark.parametrize(
    ("what", "rate", "sentence"),
    [
        (np.zeros(5 * RATE), RATE, "this take is silent"),
        (plucked()[RATE : RATE + RATE // 20], RATE, "this take ends as soon as it begins"),
        (np.sign(np.sin(np.arange(5 * RATE) / 20)), RATE, "this take is clipped"),
        (plucked()[::8], 2756, "2756 samples a second are too few"),
        (np.random.default_rng(1).normal(0, 0.1, 8 * RATE), RATE, "does not sound like"),
        (other_notes(), RATE, "does not sound like these bars"),
    ],
    ids=["silent", "short", "clipped", "coarse", "noise", "another piece"],
)
def test_a_take_that_cannot_be_heard_is_one_sentence(
    what: Wave, rate: int, sentence: str, tmp_path: Path, capsys: Telling
) -> None:
    assert listen(tmp_path, what, rate=rate) == 1
    told = capsys.readouterr().err
    assert sentence in told
    assert told.count("\n") == 1


def test_samples_that_are_no_numbers_are_one_sentence(tmp_path: Path, capsys: Telling) -> None:
    wave = plucked()
    wave[1000] = np.nan
    soundfile.write(tmp_path / "take.wav", wave, RATE, subtype="FLOAT")
    assert main(["listen", str(tmp_path / "take.wav"), DEMO, *WORDS]) == 1
    assert "this take is damaged" in capsys.readouterr().err


def run_alone(path: Path, *words: str) -> tuple[int, str, str]:
    """(exit, output, errors) of the command as its own process."""
    done = subprocess.run(
        [sys.executable, "-m", "companion", "listen", str(path), DEMO, *words],
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("name", "code", "sentence"),
    [
        ("silent.wav", 1, "this take is silent. Check the microphone."),
        ("other.flac", 1, "this take does not sound like these bars. Check the part and the bars."),
        ("clipped.wav", 1, "this take is clipped. Turn the microphone down and play again."),
        ("hours.flac", 1, "this take lasts 180 minutes. The most is 10: cut it to the bars"),
        ("coarse.wav", 0, "in time, on every beat and on every side."),
        ("stereo.flac", 0, "in time, on every beat and on every side."),
        ("letter.wav", 1, "this is not sound that can be read. Record it as WAV or FLAC."),
    ],
)
def test_each_take_is_answered_by_one_sentence_of_its_own_process(
    tmp_path: Path, name: str, code: int, sentence: str
) -> None:
    path, wave = tmp_path / name, plucked()
    coarse = np.interp(np.arange(0, len(wave), RATE / 8000), np.arange(len(wave)), wave)
    made = {
        "silent.wav": (np.zeros(20 * RATE), RATE),
        "other.flac": (other_notes(), RATE),
        "clipped.wav": (np.clip(12 * wave, -1, 1), RATE),
        "coarse.wav": (coarse, 8000),
        "stereo.flac": (np.column_stack([wave, 0.3 * wave]), RATE),
    }
    if name == "hours.flac":
        with soundfile.SoundFile(path, "w", 8000, 1) as file:
            for _ in range(180):
                file.write(np.zeros(60 * 8000))
    elif name == "letter.wav":
        path.write_text("a letter")
    else:
        soundfile.write(path, *made[name])
    returned, told, errors = run_alone(path, *WORDS)
    first = (told or errors).splitlines()[0]
    assert returned == code
    assert sentence in first
    assert errors.count("\n") == code


def test_three_hours_are_refused_before_they_are_read(tmp_path: Path, capsys: Telling) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros(8000), 8000)
    with path.open("r+b") as file:
        # A file of nothing takes no room: only its length is told.
        size = 44 + 3 * 3600 * 8000 * 2
        file.truncate(size)
        for place, number in ((4, size - 8), (40, size - 44)):
            file.seek(place)
            file.write(number.to_bytes(4, "little"))
    assert main(["listen", str(path), DEMO, *WORDS]) == 1
    assert "this take lasts 180 minutes" in capsys.readouterr().err


def test_what_is_no_sound_and_what_is_not_there(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "notes.wav").write_text("a letter")
    assert main(["listen", str(tmp_path / "notes.wav"), DEMO, *WORDS]) == 1
    assert "this is not sound that can be read" in capsys.readouterr().err
    assert main(["listen", str(tmp_path / "none.wav"), DEMO, *WORDS]) == 1
    assert "there is no such file" in capsys.readouterr().err


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such pipes")
def test_a_pipe_is_no_take(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "take.wav")
    with pytest.raises(TakeError, match=r"this is a pipe\. Name a recording\."):
        read_take(tmp_path / "take.wav")

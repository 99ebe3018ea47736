"""`companion click` from the command line to the samples in the file.

Where 3 against 2 strikes: 0, 1/3, 1/2, 2/3 of the beat (J. Schillinger, The Schillinger
System of Musical Composition, 1946, Book I, resultant 3:2 = 2 1 1 2).
"""

import json
import wave
from fractions import Fraction
from pathlib import Path
from typing import Any

import mido
import numpy as np
import pytest
from numpy.typing import NDArray

from companion.cli.main import main
from companion.files.folders import demo_score

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
    path = click(tmp_path, "--part", "viola", "--bars", "13-14", "--tempo", "77")
    beat = Fraction(60 * RATE, 77)
    shares = (Fraction(0), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3))
    assert onsets(path) == [round((k + share) * beat) for k in range(4) for share in shares]


def test_elsewhere_only_the_beat_sounds(tmp_path: Path) -> None:
    path = click(tmp_path, "--part", "1", "--bars", "1-2", "--tempo", "60", "--repeat", "2")
    assert onsets(path) == [k * RATE for k in range(8)]


def test_the_beat_is_that_of_the_part(tmp_path: Path) -> None:
    in_three = click(
        tmp_path, "--part", "viola", "--bars", "29", "--tempo", "90", "--layers", "beat"
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
    words = ["--part", "viola", "--bars", "13", "--tempo", "60"]
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


def told(tmp_path: Path, capsys: Telling, *words: str, out: str = "click.wav") -> dict[str, Any]:
    click(tmp_path, *words, "--json", out=out)
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


VIOLA = ("--part", "viola", "--bars", "13-14")


def test_a_ladder_is_asked_for_as_a_teacher_would_write_it(tmp_path: Path, capsys: Telling) -> None:
    words = [*VIOLA, "--layers", "beat", "--tempo", "60", "to", "72", "by", "6,", "twice", "each"]
    ladder = told(tmp_path, capsys, *words)
    assert (ladder["tempo_plan"], ladder["times"]) == ("60 to 72 by 6, twice each", 6)
    # Four beats a time through, twice each at 60, 66 and 72.
    assert Fraction(ladder["seconds"]) == sum(Fraction(2 * 4 * 60, bpm) for bpm in (60, 66, 72))
    quoted = told(tmp_path, capsys, *words[:6], "--tempo", "60 to 72 by 6, twice each")
    assert quoted == ladder


def test_a_ramp_is_heard_in_the_file(tmp_path: Path) -> None:
    # A second a beat at first, half a second at last: 15/16, 13/16, 11/16, 9/16.
    path = click(tmp_path, *VIOLA, "--layers", "beat", "--tempo", "60 to 120")
    places = [Fraction(0), Fraction(15, 16), Fraction(28, 16), Fraction(39, 16)]
    assert onsets(path) == [round(place * RATE) for place in places]


def test_every_second_bar_is_silent(tmp_path: Path) -> None:
    words = [*VIOLA, "--layers", "beat", "--tempo", "60", "--repeat", "2"]
    path = click(tmp_path, *words, "--silence", "every", "2")
    assert onsets(path) == [0, RATE, 4 * RATE, 5 * RATE]


def test_random_silences_are_the_same_with_the_same_seed(tmp_path: Path) -> None:
    words = [*VIOLA, "--tempo", "60", "--repeat", "9", "--silence", "random", "0.4", "--seed"]
    first, again, other = (
        click(tmp_path, *words, seed, out=f"{name}.wav").read_bytes()
        for name, seed in (("a", "7"), ("b", "7"), ("c", "8"))
    )
    assert first == again != other


def test_anybodys_rhythm_is_a_layer_of_its_own(tmp_path: Path, capsys: Telling) -> None:
    words = [*VIOLA, "--tempo", "60", "--layers", "beat,rhythm,rhythm:cello"]
    found = told(tmp_path, capsys, *words)
    assert {stroke["layer"] for stroke in found["strokes"]} == {"beat", "rhythm", "rhythm:Cello"}


def test_layers_are_set_one_by_one(tmp_path: Path) -> None:
    words = [*VIOLA, "--tempo", "60", "--layers", "beat,theirs"]
    plain = samples(click(tmp_path, *words))
    softer = samples(click(tmp_path, *words, "--level", "beat=0.5,theirs=0.5", out="b.wav"))
    assert abs(softer).max() == pytest.approx(abs(plain).max() / 2, abs=2)
    moved = samples(click(tmp_path, *words, "--place", "beat=-1", "--place", "theirs=-1"))
    assert moved[:, 0].any() and not moved[:, 1].any()


def samples(path: Path) -> NDArray[np.int16]:
    with wave.open(str(path)) as file:
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, 2)


def test_the_others_can_be_counted_in(tmp_path: Path) -> None:
    words = ["--part", "viola", "--bars", "29", "--tempo", "90", "--layers", "beat"]
    theirs = click(tmp_path, *words, "--count-in", "1", "--counted-by", "theirs")
    # Bar 30: three beats of the viola against two of the others, two seconds a bar.
    assert onsets(theirs) == [0, RATE, 2 * RATE, 2 * RATE + 32000, 2 * RATE + 64000]


def test_into_a_folder_it_goes_under_a_name_of_its_own(tmp_path: Path, capsys: Telling) -> None:
    words = [*VIOLA, "--tempo", "60 to 72 by 6, twice each", "--format", "mid"]
    found = told(tmp_path, capsys, *words, out=".")
    (made,) = tmp_path.glob("*.mid")
    assert Path(found["file"]) == made
    assert "Viola - bars 13-14 - 60 to 72 by 6 twice each" in made.stem


def test_the_scores_own_tempo_is_a_guess_where_none_is_marked_and_says_so(
    tmp_path: Path, capsys: Telling
) -> None:
    click(tmp_path, *VIOLA, "--tempo", "as", "marked")
    line = capsys.readouterr().out
    assert "as marked" in line
    marked = json_of(["map", DEMO, "--json"], capsys)["tempos"]
    assert ("are assumed" in line) == (not marked)


def json_of(words: list[str], capsys: Telling) -> dict[str, Any]:
    assert main(words) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_a_conflict_tells_its_beats_where_it_sits_in_some_only(capsys: Telling) -> None:
    for conflict in json_of(["map", DEMO, "--json"], capsys)["conflicts"]:
        bars = conflict["last"] - conflict["first"] + 1
        assert len(conflict["beats"]) in {0, bars}
        assert conflict["basis"] != "notated" or not conflict["beats"]


@pytest.mark.parametrize(
    "words",
    [
        *(["--tempo", "60", "to"], ["--tempo", "60", "--rit", "0.5"]),
        *(["--tempo", "60", "--silence", "every"], ["--tempo", "60", "--fade", "theirs", "out"]),
        *(["--tempo", "60", "--level", "division=0.5"], ["--tempo", "60", "--level", "theirs=3"]),
        *(["--tempo", "60", "--voice", "beat=horn"], ["--tempo", "60", "--place", "beat=up"]),
        *(["--tempo", "60", "--bits", "12"], ["--tempo", "60", "--layers", "rhythm:oboe"]),
        *(["--tempo", "60", "--count-in", "1", "--counted-by", "oboe"],),
        *(["--tempo", "60 to 90 by 0.001"], ["--tempo", "as marked", "--fermata", "many"]),
    ],
)
def test_a_wish_that_cannot_be_meant_is_refused_in_one_sentence(
    words: list[str], tmp_path: Path, capsys: Telling
) -> None:
    assert main(["click", DEMO, *VIOLA, "-o", str(tmp_path / "x.wav"), *words]) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err.count("\n") == 1
    assert not list(tmp_path.glob("x.*"))


def test_the_others_play_along_and_the_click_stays_on_its_samples(tmp_path: Path) -> None:
    words = ["--part", "viola", "--bars", "13", "--tempo", "60", "--layers", "beat"]
    alone = click(tmp_path, *words)
    along = click(tmp_path, *words, "--with", "cello", "--tuning", "442", out="along.wav")

    def samples(path: Path) -> "np.ndarray[tuple[int, ...], np.dtype[np.int16]]":
        with wave.open(str(path)) as file:
            return np.frombuffer(file.readframes(file.getnframes()), "<i2")

    first, second = samples(alone), samples(along)
    assert len(first) == len(second)
    assert np.abs(second).max() < 0.891 * 32768  # −1 dBFS
    # The cello's third eighth: stereo samples of 0.66–0.9 s, where the click alone is silent.
    quiet = slice(RATE * 4 // 3, RATE * 9 // 5)
    assert not first[quiet].any() and second[quiet].any()


def test_a_midi_file_holds_no_company(tmp_path: Path, capsys: Telling) -> None:
    words = ["--part", "viola", "--bars", "13", "--tempo", "60", "--with", "all"]
    assert main(["click", DEMO, "-o", str(tmp_path / "x.mid"), *words]) == 2
    assert "holds the click alone" in capsys.readouterr().err

"""`companion part` from the command line to the file."""

import json
import sys
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import demo_score
from companion.score.readers.opening import read_score
from companion.session.open_exercise import built_in_files
from tests.part.pages import page

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))


@pytest.fixture
def trio(tmp_path: Path) -> str:
    score = tmp_path / "trio.musicxml"
    score.write_bytes(
        page(
            Flute="6/8 [reh A] [metro q. 60] A4q. B4q. | A4e B4e C5e D5q. | A4q. A4q. | A4h.",
            Oboe="2/4 R | R | [reh B] E5q E5q | E5h [back]",
            Horn="2/4 C4h | C4q D4q | C4h | C4h",
        )
    )
    return str(score)


def test_it_writes_the_part_and_says_what_it_has_gained(
    trio: str, tmp_path: Path, capsys: Telling
) -> None:
    out = tmp_path / "oboe.musicxml"
    assert main(["part", trio, "oboe", "-o", str(out)]) == 0
    assert capsys.readouterr().out == (
        f"Written: {out}: Oboe, with 1 cue, 1 rehearsal mark, 1 tempo mark, 1 meter note\n"
    )
    (part,) = read_score(out).score.parts
    assert part.name == "Oboe"
    assert [bar.meter for bar in part.bars] == ["2/4"] * 4


def test_the_same_for_programs(trio: str, tmp_path: Path, capsys: Telling) -> None:
    out = tmp_path / "oboe.musicxml"
    assert main(["part", trio, "2", "-o", str(out), "--cues", "none", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {
        "files": [str(out)],
        "part": {"id": "P2", "name": "Oboe"},
        "added": {
            "cues": 0,
            "multi_bar_rests": 1,
            "rehearsal_marks": 1,
            "tempo_marks": 1,
            "signs": 0,
            "repeats_and_endings": 0,
            "meter_notes": 1,
        },
    }


@pytest.mark.parametrize("name", ["part.xml", "part.mxl"])
def test_other_endings_hold_the_same_part(trio: str, tmp_path: Path, name: str) -> None:
    plain, other = tmp_path / "part.musicxml", tmp_path / name
    assert main(["part", trio, "oboe", "-o", str(plain)]) == 0
    assert main(["part", trio, "oboe", "-o", str(other)]) == 0
    assert read_score(other).score == read_score(plain).score


def test_a_midi_file_begins_as_one(trio: str, tmp_path: Path, capsys: Telling) -> None:
    out = tmp_path / "oboe.mid"
    assert main(["part", trio, "oboe", "-o", str(out)]) == 0
    assert out.read_bytes().startswith(b"MThd")
    assert capsys.readouterr().out == f"Written: {out}: Oboe\n"


def test_a_short_part_is_one_picture(trio: str, tmp_path: Path) -> None:
    assert main(["part", trio, "oboe", "-o", str(tmp_path / "oboe.svg")]) == 0
    assert [file.name for file in tmp_path.glob("*.svg")] == ["oboe.svg"]


def test_a_longer_part_is_one_picture_a_page(tmp_path: Path, capsys: Telling) -> None:
    score = tmp_path / "long.musicxml"
    score.write_bytes(page(Flute="4/4 A4q B4q C5q D5q" + " | A4q B4q C5q D5q" * 120))
    assert main(["part", str(score), "flute", "-o", str(tmp_path / "flute.svg")]) == 0
    names = sorted(file.name for file in tmp_path.glob("*.svg"))
    assert names == [f"flute-{number}.svg" for number in range(1, len(names) + 1)]
    assert len(names) > 1
    assert f"flute-1.svg … flute-{len(names)}.svg" in capsys.readouterr().out


def test_a_part_of_many_pages_is_one_file_to_print(tmp_path: Path, capsys: Telling) -> None:
    score, out = tmp_path / "long.musicxml", tmp_path / "flute.pdf"
    score.write_bytes(page(Flute="4/4 A4q B4q C5q D5q" + " | A4q B4q C5q D5q" * 120))
    assert main(["part", str(score), "flute", "-o", str(out)]) == 0
    assert capsys.readouterr().out == f"Written: {out}: Flute\n"
    assert out.read_bytes().startswith(b"%PDF-")
    assert out.read_bytes().count(b"/MediaBox") > 1
    assert [path.name for path in tmp_path.iterdir() if "flute" in path.name] == ["flute.pdf"]


def test_it_can_be_laid_out_for_letter_paper(trio: str, tmp_path: Path) -> None:
    """8.5 by 11 inches of 72 points."""
    out = tmp_path / "oboe.pdf"
    assert main(["part", trio, "oboe", "-o", str(out), "--paper", "letter"]) == 0
    assert b"/MediaBox [ 0 0 612 792 ]" in out.read_bytes()


@pytest.mark.parametrize("library", ["verovio", "reportlab"])
def test_without_what_prints_one_sentence_says_how_to_get_it(
    trio: str,
    tmp_path: Path,
    capsys: Telling,
    monkeypatch: pytest.MonkeyPatch,
    library: str,
) -> None:
    monkeypatch.setitem(sys.modules, library, None)
    out = tmp_path / "oboe.pdf"
    assert main(["part", trio, "oboe", "-o", str(out)]) == 1
    told = capsys.readouterr().err
    assert f"pip install {library}," in told and told.count("\n") == 1
    assert not out.exists()


def test_without_the_engraver_one_sentence_says_how_to_get_it(
    trio: str, tmp_path: Path, capsys: Telling, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "verovio", None)
    out = tmp_path / "oboe.svg"
    assert main(["part", trio, "oboe", "-o", str(out)]) == 1
    told = capsys.readouterr().err
    assert "pip install verovio," in told and told.count("\n") == 1
    assert not out.exists()


@pytest.mark.parametrize(
    ("part", "out", "status", "sentence"),
    [
        ("tuba", "tuba.musicxml", 2, "there is no part “tuba”"),
        ("oboe", "oboe.ps", 2, "cannot be written as “.ps”"),
        ("oboe", "nowhere/oboe.pdf", 1, "could not be written"),
        ("oboe", "oboe", 2, "cannot be written as “oboe”"),
        ("oboe", "nowhere/oboe.musicxml", 1, "could not be written"),
        ("oboe", "folder.musicxml", 1, "this is a folder"),
        ("oboe", "trio.musicxml", 2, "take the place of the score"),
    ],
)
def test_what_cannot_be_written_leaves_nothing_behind(
    trio: str, tmp_path: Path, capsys: Telling, part: str, out: str, status: int, sentence: str
) -> None:
    (tmp_path / "folder.musicxml").mkdir()
    before = sorted(tmp_path.iterdir())
    assert main(["part", trio, part, "-o", str(tmp_path / out)]) == status
    told = capsys.readouterr().err
    assert sentence in told and told.count("\n") == 1
    assert [path for path in sorted(tmp_path.iterdir()) if path.name != "data"] == before


def test_a_score_that_is_none_is_refused_in_one_sentence(tmp_path: Path, capsys: Telling) -> None:
    broken = tmp_path / "broken.musicxml"
    broken.write_text("<score-partwise><part-list>")
    assert main(["part", str(broken), "1", "-o", str(tmp_path / "out.musicxml")]) == 1
    assert capsys.readouterr().err.count("\n") == 1
    assert not (tmp_path / "out.musicxml").exists()


def test_every_part_of_the_built_in_quartet_keeps_its_marks(
    tmp_path: Path, capsys: Telling
) -> None:
    for number in range(1, 5):
        out = tmp_path / f"{number}.musicxml"
        assert main(["part", DEMO, str(number), "-o", str(out)]) == 0
        (part,) = read_score(out).score.parts
        marks = [mark.text for bar in part.bars for mark in bar.marks if mark.kind == "rehearsal"]
        assert marks == list("ABCDEF")
    assert "6 rehearsal marks" in capsys.readouterr().out


def test_an_exercise_is_a_part_for_each_drill(
    tmp_path: Path, capsys: Telling, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words = ["bow/scale_in_triplets", "--instrument", "viola", "-o", "scale.musicxml"]
    assert main(["part", *words]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "Written: scale-1.musicxml: Viola",
        "Written: scale-2.musicxml: Viola",
    ]
    (part,) = read_score(tmp_path / "scale-1.musicxml").score.parts
    assert (part.name, part.bars[0].notes[0].pitch) == ("Viola", "G3")
    assert main(["part", "bow/scale_in_triplets", "Eighths", "-o", "step.mid"]) == 0
    assert sorted(path.name for path in tmp_path.glob("*.mid")) == ["step-1.mid", "step-2.mid"]


def test_file_pack_and_name_of_an_exercise_give_the_same_part(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    file = built_in_files()["travelling/two_beside_three"]
    (tmp_path / "x.toml").write_bytes(file.read_bytes())
    assert main(["exercise", "pack", "x.toml"]) == 0
    made = []
    for number, typed in enumerate(("x.toml", "x.exercise", "two_beside_three")):
        assert main(["part", typed, "-o", f"{number}.musicxml"]) == 0
        made.append((tmp_path / f"{number}.musicxml").read_bytes())
    assert made[0] == made[1] == made[2]


def test_a_score_needs_a_part_and_a_wrong_name_is_told(tmp_path: Path, capsys: Telling) -> None:
    assert main(["part", DEMO, "-o", str(tmp_path / "x.musicxml")]) == 2
    assert "no part is named" in capsys.readouterr().err
    assert main(["part", "no_such.toml", "-o", str(tmp_path / "x.musicxml")]) == 1
    assert "there is no such exercise" in capsys.readouterr().err


def test_pages_never_replace_what_somebody_else_left(tmp_path: Path, capsys: Telling) -> None:
    out, mine = tmp_path / "p.svg", tmp_path / "p-2.svg"
    mine.write_bytes(b"<svg>my travel companion</svg>")
    words = ["part", DEMO, "1", "-o", str(out)]
    assert main(words) == 1
    assert "p-2.svg would be replaced" in capsys.readouterr().err
    assert [one.name for one in tmp_path.glob("p*")] == ["p-2.svg"]
    mine.unlink()
    assert main(words) == 0
    assert main(words) == 0  # its own pages it may write again


@pytest.mark.parametrize("ending", ["mid", "pdf", "svg", "musicxml", "mxl"])
def test_parts_of_an_exercise_replace_only_parts(tmp_path: Path, ending: str) -> None:
    exercise = tmp_path / "two.toml"
    exercise.write_text(
        'format = 3\ntitle = "Two"\n'
        '[[drill]]\npattern = "2/4 q q"\n[[drill]]\npattern = "3/4 q q q"\n',
        "utf-8",
    )
    words = ["part", str(exercise), "-o", str(tmp_path / f"ex.{ending}")]
    second = tmp_path / f"ex-2.{ending}"
    second.write_bytes(b"mine")
    assert main(words) == 1
    assert second.read_bytes() == b"mine"
    assert not (tmp_path / f"ex-1.{ending}").exists()
    second.unlink()
    assert (main(words), main(words)) == (0, 0)

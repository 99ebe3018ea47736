"""Other formats, turned into MusicXML by music21 in a child process.

The music is our own and short; what it must come to is written beside it.
"""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from companion.score.model import Score
from companion.score.reader_error import ReaderError, ReadingStopped
from companion.score.readers import score_source
from companion.score.readers.foreign import turn
from companion.score.readers.format_detection import FORMS, FileForm, recognised
from companion.score.readers.musicxml.reading import read_musicxml

# Two spines, the lower part left: 2/4 with a triplet below a pair of eighths, then two quarters.
HUMDRUM = """\
!!!OTL: Three and two
**kern\t**kern
*Icello\t*Ivioln
*clefF4\t*clefG2
*M2/4\t*M2/4
=1\t=1
12C\t8cc
12D\t.
.\t8dd
12E\t.
4F\t4ee
=2\t=2
4G\t4ff
4C\t4cc
==\t==
*-\t*-
"""

# One voice in 6/8: a dotted quarter and three eighths, then a dotted half.
ABC = """\
X:1
T:Six
M:6/8
L:1/8
K:G
G3 ABc|d6|]
"""

# The same two bars, as elements.
MEI = """<?xml version="1.0" encoding="UTF-8"?>
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="4.0.0"><meiHead><fileDesc><titleStmt>
<title>Six</title></titleStmt><pubStmt/></fileDesc></meiHead><music><body><mdiv><score>
<scoreDef meter.count="6" meter.unit="8"><staffGrp>
<staffDef n="1" lines="5" clef.shape="G" clef.line="2"/></staffGrp></scoreDef><section>
<measure n="1"><staff n="1"><layer n="1"><note pname="g" oct="4" dur="4" dots="1"/>
<note pname="a" oct="4" dur="8"/><note pname="b" oct="4" dur="8"/><note pname="c" oct="5" dur="8"/>
</layer></staff></measure>
<measure n="2"><staff n="1"><layer n="1"><note pname="d" oct="5" dur="2" dots="1"/></layer></staff>
</measure></section></score></mdiv></body></music></mei>"""

# Standard MIDI file 1.0, one track, 96 ticks a quarter
MIDI = bytes.fromhex(
    "4D546864 00000006 0000 0001 0060"  # MThd, format 0, one track, 96 ticks
    "4D54726B 0000001C"  # MTrk, 28 bytes
    "00 FF5804 02021808"  # 2/4
    "00 903C40  60 803C00"  # C4 for a quarter
    "00 903E40  60 803E00"  # D4 for a quarter
    "00 FF2F00"  # end of track
)


def read(tmp_path: Path, data: bytes) -> tuple[Score, str]:
    """A file with these contents, and what it was turned from."""
    file = tmp_path / "score"
    file.write_bytes(data)
    source = score_source.read(file)
    return read_musicxml(source.musicxml, file.stem), source.came_from


def form_of(data: bytes) -> FileForm:
    form = recognised(data, "")
    assert form is not None
    return form


def music(score: Score) -> list[list[tuple[Fraction, str]]]:
    """Onset in quarters and pitch of each note, bar by bar, of the first part."""
    return [
        [(Fraction(note.onset, score.ticks), note.pitch) for note in bar.notes if note.pitch]
        for bar in score.parts[0].bars
    ]


SIX = [
    [
        (Fraction(0), "G4"),
        (Fraction(3, 2), "A4"),
        (Fraction(2), "B4"),
        (Fraction(5, 2), "C5"),
    ],
    [(Fraction(0), "D5")],
]


def test_humdrum_keeps_parts_meter_and_triplets(tmp_path: Path) -> None:
    score, came_from = read(tmp_path, HUMDRUM.encode())
    assert came_from == "Humdrum"
    assert score.title == "Three and two"
    assert [(part.id, part.name) for part in score.parts] == [
        ("P1", "Violin"),
        ("P2", "Violoncello"),
    ]
    assert [bar.meter for bar in score.parts[1].bars] == ["2/4", "2/4"]
    triplet = [Fraction(note.onset, score.ticks) for note in score.parts[1].bars[0].notes]
    assert triplet == [0, Fraction(1, 3), Fraction(2, 3), 1]
    assert music(score)[0] == [(0, "C5"), (Fraction(1, 2), "D5"), (1, "E5")]


@pytest.mark.parametrize(("data", "name"), [(ABC.encode(), "ABC"), (MEI.encode(), "MEI")])
def test_the_same_two_bars_in_two_formats(tmp_path: Path, data: bytes, name: str) -> None:
    score, came_from = read(tmp_path, data)
    assert came_from == name
    assert [bar.meter for bar in score.parts[0].bars] == ["6/8", "6/8"]
    assert music(score) == SIX


@pytest.mark.parametrize(
    ("encoding", "newline"), [("utf-8", "\n"), ("utf-8-sig", "\r\n"), ("iso-8859-1", "\r")]
)
@pytest.mark.parametrize(
    "text",
    [ABC.replace("Six", "Élégie"), HUMDRUM.replace("Three and two", "Élégie")],
)
def test_text_is_read_in_any_usual_spelling(text: str, newline: str, encoding: str) -> None:
    data = text.replace("\n", newline).encode(encoding)
    assert read_musicxml(turn(data, form_of(data)).musicxml, "score").title == "Élégie"


def test_a_midi_file_comes_in_bars(tmp_path: Path) -> None:
    score, came_from = read(tmp_path, MIDI)
    assert (came_from, score.parts[0].bars[0].meter) == ("MIDI", "2/4")
    assert music(score) == [[(Fraction(0), "C4"), (Fraction(1), "D4")]]
    assert score.title == "score"
    assert score.composer == ""


def test_of_many_tunes_the_first_is_taken_and_the_player_told(tmp_path: Path) -> None:
    score, came_from = read(tmp_path, f"{ABC}\n{ABC.replace('X:1', 'X:2')}".encode())
    assert came_from == "ABC, the first of 2 pieces"
    assert music(score) == SIX


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"**kern\nthis is no token of music \xff\n*-\n", "Humdrum"),
        (b"MThd\0\0", "MIDI"),
        (b"<mei xmlns='http://www.music-encoding.org/ns/mei'/>", "MEI"),
    ],
)
def test_what_only_looks_like_a_format_is_one_sentence(
    tmp_path: Path, data: bytes, name: str
) -> None:
    with pytest.raises(ReaderError) as caught:
        read(tmp_path, data)
    assert str(caught.value) == (
        f"score: it looks like {name} but cannot be read as such. Export the score as MusicXML."
    )


@pytest.mark.parametrize("name", ["score.pgz", "score.p", "score.krn"])
def test_stored_objects_are_never_opened(tmp_path: Path, name: str) -> None:
    trap = b"cos\nsystem\n(S'touch trapped'\ntR."
    (tmp_path / name).write_bytes(trap)
    with pytest.raises(ReaderError, match="not a score in any known format"):
        score_source.read(tmp_path / name)
    assert [file.name for file in tmp_path.iterdir()] == [name]


def test_a_slow_file_is_given_up(tmp_path: Path) -> None:
    with pytest.raises(ReaderError, match="took over 0 seconds"):
        turn(HUMDRUM.encode(), FORMS[0], limit=0)


def test_a_player_may_stop_waiting() -> None:
    told: list[str] = []
    with pytest.raises(ReadingStopped, match="reading was stopped"):
        turn(HUMDRUM.encode(), FORMS[0], told.append, lambda: True)
    assert told == ["Reading Humdrum: 0 s"]


def test_nothing_is_left_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home, scratch = tmp_path / "home", tmp_path / "scratch"
    home.mkdir()
    scratch.mkdir()
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setattr("tempfile.tempdir", str(scratch))
    assert turn(ABC.encode(), form_of(ABC.encode())).pieces == 1
    assert list(home.iterdir()) == []
    assert list(scratch.iterdir()) == []


def test_the_child_gives_up_the_network_and_other_folders(tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    program = f"""
import socket, subprocess
from pathlib import Path
from companion.score.readers.foreign_child import _give_up
_give_up(Path({str(folder)!r}).resolve())
Path({str(folder / "inside")!r}).write_text("yes")
for deed in (
    lambda: Path({str(tmp_path / "outside")!r}).write_text("no"),
    lambda: Path({str(folder / ".." / "outside")!r}).write_text("no"),
    lambda: Path({str(folder / "inside")!r}).rename({str(tmp_path / "outside")!r}),
    lambda: socket.create_connection(("192.0.2.1", 80), timeout=1),
    lambda: subprocess.run(["true"]),
):
    try:
        deed()
    except PermissionError:
        continue
    raise SystemExit(1)
"""
    assert subprocess.run([sys.executable, "-c", program]).returncode == 0
    assert (folder / "inside").exists()
    assert not (tmp_path / "outside").exists()


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux limits a child's memory")
def test_a_small_file_that_asks_for_gigabytes_is_refused(tmp_path: Path) -> None:
    greedy = tmp_path / "greedy.abc"
    greedy.write_text("X:1\nM:999999999/1\nL:1/8\nK:C\nCDEF|\n", "ascii")
    with pytest.raises(ReaderError, match="takes over 1 GB of memory"):
        score_source.read(greedy)

"""What a library says of a score, against the score's own XML and a table of resultants."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from zipfile import ZipFile

import pytest
from lxml import etree

from companion.files.folders import Folders
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from companion.library.folder_walk import walk
from companion.library.index import update_index
from companion.library.indexed_score import Index, IndexedScore
from companion.library.score_summary import points
from companion.library.search import search

MUSIC21 = find_spec("music21")
assert MUSIC21 is not None
assert MUSIC21.origin is not None
CORPUS = Path(MUSIC21.origin).parent / "corpus"
GLORIA = CORPUS / "trecento" / "PMFC_24_6-Gloria_Spiritus_et_alme.xml"
OTHER_GLORIA = CORPUS / "trecento" / "PMFC_24_8-Gloria Ciconia 8.xml"
QUARTET = CORPUS / "beethoven" / "opus74.mxl"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three real scores and everything else a folder may hold."""
    shelf = tmp_path_factory.mktemp("shelf")
    (shelf / "sacred").mkdir()
    (shelf / "sacred" / "gloria.xml").symlink_to(GLORIA)
    (shelf / "sacred" / "other gloria.XML").symlink_to(OTHER_GLORIA)
    (shelf / "quartet.mxl").symlink_to(QUARTET)
    (shelf / "sacred" / "back").symlink_to(shelf)
    (shelf / "above").symlink_to(shelf.parent)
    (shelf / ".hidden").mkdir()
    (shelf / ".hidden" / "score.xml").write_bytes(OTHER_GLORIA.read_bytes())
    (shelf / "._quartet.mxl").write_text("what some systems leave beside a file")
    (shelf / "notes.txt").write_text("no score and not called one")
    (shelf / "torn.xml").write_bytes(OTHER_GLORIA.read_bytes()[:2000])
    (shelf / "empty.mxl").write_bytes(b"")
    (shelf / "noise.mid").write_bytes(bytes(range(256)))
    (shelf / "nowhere.mid").symlink_to(shelf / "nothing.mid")
    (shelf / "folder.mid").mkdir()
    return shelf


@pytest.fixture(scope="module")
def index(shelf: Path, tmp_path_factory: pytest.TempPathFactory) -> Index:
    data = tmp_path_factory.mktemp("data")
    return update_index(Folders(data, data / "cache"), shelf)


def entry(index: Index, words: str) -> IndexedScore:
    (found,) = search(index, words)
    return found


def measures(path: Path) -> Iterator[list[etree._Element]]:
    """The measures of each part, straight from the XML."""
    if path.suffix == ".mxl":
        with ZipFile(path) as archive:
            names = [name for name in archive.namelist() if name.endswith("l")]
            (name,) = [name for name in names if not name.startswith("META-INF")]
            root = etree.fromstring(archive.read(name))
    else:
        root = etree.parse(str(path)).getroot()
    for part in root.findall("part"):
        yield part.findall("measure")


def bars_with_several_meters(path: Path) -> set[int]:
    meters: dict[int, set[tuple[str | None, str | None]]] = {}
    for part in measures(path):
        meter: tuple[str | None, str | None] = (None, None)
        for number, measure in enumerate(part, 1):
            for time in measure.findall("attributes/time"):
                meter = (time.findtext("beats"), time.findtext("beat-type"))
            meters.setdefault(number, set()).add(meter)
    return {number for number, found in meters.items() if len(found) > 1}


@pytest.mark.parametrize(
    ("words", "path", "bars"),
    [("sacred/gloria ciconia parts=4 3:2", GLORIA, 163), ("other", OTHER_GLORIA, 94)],
)
def test_mixed_meters_are_where_the_xml_has_them(
    index: Index, words: str, path: Path, bars: int
) -> None:
    found = entry(index, words)
    told = {bar for span in found.mixed for bar in range(span.first, span.last + 1)}
    assert told == bars_with_several_meters(path) != set()
    assert found.bars == bars == max(len(part) for part in measures(path))
    assert (found.sounding, len(found.parts)) == (0, 4)


def test_conflicts_written_as_meters_are_counted_by_stretches(index: Index) -> None:
    """Source: the XML itself; 2/2 with 6/8 in bars 33–40, 61–63 and 138–141, 3/4 with 6/8 in
    77–86. Both divisions are played in 82–84 and in the second beat of 139 only, where two and
    four stand against three; the three bars are the hardest by the rule of thumb."""
    gloria = entry(index, "sacred/gloria")
    assert gloria.written == 9
    assert [span.printed for span in gloria.mixed] == ["33–40", "61–63", "77–86", "138–141"]
    assert [(hard.first, hard.last) for hard in gloria.hardest] == [(82, 84), (139, 139)]


def test_a_conflict_in_the_notes_is_where_the_xml_cuts_the_beat_in_three_and_in_two(
    index: Index,
) -> None:
    """Source: the XML itself; in bars 1039–1046 the cello has triplets, the others eighths."""
    quartet = entry(index, "quartet.mxl")
    (hard,) = [hard for hard in quartet.hardest if hard.first == 1039]
    assert hard.last == 1046
    assert (hard.numbers, hard.level, hard.basis) == (("3", "2"), "beat", "rhythm")
    assert hard.sides[0] == ("3", ("Violoncello",))
    upper, _, _, lower = measures(QUARTET)
    for bar in range(hard.first, hard.last):
        three, two = (
            {note.findtext("time-modification/actual-notes") for note in part[bar].findall("note")}
            for part in (lower, upper)
        )
        assert (three, two) == ({"3"}, {None})
    assert (quartet.written, quartet.mixed) == (0, ())
    assert quartet.sounding > 0


@pytest.mark.parametrize(
    ("ratio", "resultant"),
    [
        ((3, 2), "2 1 1 2"),
        ((4, 3), "3 1 2 2 1 3"),
        ((5, 4), "4 1 3 2 2 3 1 4"),
        ((5, 2), "2 2 1 1 2 2"),
        ((8, 5), "5 3 2 5 1 4 4 1 5 2 3 5"),
    ],
)
def test_a_ratio_weighs_by_the_strokes_that_fall_between(
    ratio: tuple[int, int], resultant: str
) -> None:
    """Source: J. Schillinger, The Schillinger System of Musical Composition (1946), Book I,
    table of resultants: as many durations as strokes are heard in one cycle."""
    one_bar_of_two_parts = pull(ratio)
    between = len(resultant.split()) - max(ratio)
    assert points(one_bar_of_two_parts) == 3 * between + 1


def test_bar_level_length_and_parts_weigh_too() -> None:
    plain = points(pull((3, 2)))
    assert points(pull((3, 2), level="bar")) == plain + 3
    assert [points(pull((3, 2), bars=bars)) - plain for bars in (1, 2, 4, 8, 16, 200)] == [
        *(0, 1, 2, 3, 4, 4)
    ]
    assert [points(pull((3, 2), parts=parts)) - plain for parts in (2, 3, 5, 9)] == [0, 1, 3, 3]


def pull(ratio: tuple[int, int], level: str = "beat", bars: int = 1, parts: int = 2) -> Conflict:
    others = tuple(f"P{number}" for number in range(2, parts + 1))
    sides = (Side(ratio[0], ("P1",)), Side(ratio[1], others))
    return Conflict(1, bars, ratio, level, "meter", sides)


def test_what_is_no_score_is_told_in_a_sentence_and_ends_nothing(index: Index) -> None:
    assert {entry.path for entry in index.scores} == {
        "quartet.mxl",
        os.path.join("sacred", "gloria.xml"),
        os.path.join("sacred", "other gloria.XML"),
    }
    told = {entry.path: entry.problem for entry in index.unreadable}
    assert set(told) == {"torn.xml", "empty.mxl", "noise.mid", "nowhere.mid"}
    assert all(problem.endswith(".") and problem[0].isupper() for problem in told.values())
    assert "torn.xml" not in told["torn.xml"]


@pytest.mark.skipif(sys.platform != "linux", reason="needs names that are no text")
def test_a_file_is_found_whatever_bytes_its_name_is_made_of(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    for name in (b"caf\xe9.xml", b"two\nlines \x1b[31m.xml"):
        Path(os.fsdecode(os.path.join(os.fsencode(shelf), name))).symlink_to(OTHER_GLORIA)
    folders = Folders(tmp_path / "data", tmp_path / "cache")
    assert [found.path for found in update_index(folders, shelf).scores] == [
        "caf\N{REPLACEMENT CHARACTER}.xml",
        "two lines [31m.xml",
    ]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a file that never answers")
def test_a_pipe_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.mid")
    (found,) = walk(tmp_path, tmp_path / "cache", lambda count, inner: True).values()
    assert found.problem == "This is not a file."


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may look")
def test_a_closed_folder_is_told(tmp_path: Path) -> None:
    (tmp_path / "closed").mkdir(mode=0)
    (found,) = walk(tmp_path, tmp_path / "cache", lambda count, inner: True).values()
    assert found.where == b"closed"
    assert found.problem.startswith("This folder cannot be looked into")


def test_the_cache_is_no_part_of_a_library(tmp_path: Path) -> None:
    (tmp_path / "cache").mkdir()
    (tmp_path / "cache" / "kept.musicxml").write_bytes(b"")
    assert walk(tmp_path, tmp_path / "cache", lambda count, inner: True) == {}

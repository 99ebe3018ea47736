"""Taking a part from a score that stands open."""

from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.part.player_entrances import Cues
from companion.session.open_score import open_for_practice
from companion.session.part_file import write_part_file
from tests.part.pages import page

DUO = page(Flute="4/4 A4w | [reh B] A4w", Horn="4/4 C4w | C4w")


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


def test_a_part_is_taken_under_the_name_a_player_gives_it(tmp_path: Path, folders: Folders) -> None:
    score, out = tmp_path / "duo.musicxml", tmp_path / "horn.musicxml"
    score.write_bytes(DUO)
    taken = write_part_file(open_for_practice(score, folders), folders, "ho", out, Cues.SHORT)
    assert (taken.part_id, taken.part_name, taken.files) == ("P2", "Horn", (out,))
    assert taken.added == {"rehearsal marks": 1}


def test_an_older_part_is_replaced_whole_or_not_at_all(tmp_path: Path, folders: Folders) -> None:
    score, out = tmp_path / "duo.musicxml", tmp_path / "horn.musicxml"
    score.write_bytes(DUO)
    out.write_text("an older part")
    open_score = open_for_practice(score, folders)
    score.write_bytes(DUO.replace(b"Horn", b"Tuba"))
    with pytest.raises(CompanionError, match="has changed since it was opened"):
        write_part_file(open_score, folders, "horn", out, Cues.SHORT)
    assert out.read_text() == "an older part"
    write_part_file(open_for_practice(score, folders), folders, "tuba", out, Cues.SHORT)
    assert b"<part-name>Tuba</part-name>" in out.read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == [
        "duo.musicxml",
        "horn.musicxml",
    ]

"""How the others sound is the player's and stays; who plays is the passage's and does not."""

from __future__ import annotations

from pathlib import Path

import pytest

from companion.click.plan.timbres import ToneName
from companion.errors import CompanionError
from companion.session.accompaniment import Accompaniment, keep_sounding, usual_accompaniment
from tests.session.small_scores import folders_in


def test_the_next_drill_has_the_sound_but_not_the_company(tmp_path: Path) -> None:
    font = tmp_path / "quartet.sf2"
    font.touch()
    mine = folders_in(tmp_path / "new")
    keep_sounding(mine, Accompaniment((1, 3), ToneName.PLUCKED, 442.0, drone=57, font=font))
    assert usual_accompaniment(mine) == Accompaniment((), ToneName.PLUCKED, 442.0, font=font)


def test_a_font_that_has_gone_counts_as_none(tmp_path: Path) -> None:
    keep_sounding(folders_in(tmp_path), Accompaniment((1,), a=415.0, font=tmp_path / "gone.sf2"))
    assert usual_accompaniment(folders_in(tmp_path)) == Accompaniment(a=415.0)


@pytest.mark.parametrize(
    "damaged", ["", "{", "[]", '{"a": 3}', '{"tone": "brass"}', '{"font": 1}', "\x00"]
)
def test_a_damaged_file_counts_as_none(tmp_path: Path, damaged: str) -> None:
    (tmp_path / "others.json").write_text(damaged)
    assert usual_accompaniment(folders_in(tmp_path)) == Accompaniment()


def test_a_folder_that_cannot_be_written_to_is_told(tmp_path: Path) -> None:
    (tmp_path / "desk").write_text("a file where the folder should be")
    with pytest.raises(CompanionError, match="could not be kept"):
        keep_sounding(folders_in(tmp_path / "desk"), Accompaniment())

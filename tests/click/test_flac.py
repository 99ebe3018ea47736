"""The click as a FLAC file, read back by the library that packed it and compared with WAV."""

import sys
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from companion.click.export import flac, wav
from companion.click.export.tags import tags_of
from companion.click.plan.tempo_plan import Ladder
from companion.errors import CompanionError
from companion.files.whole_file import NotWritten
from tests.click.asking import ALL, take, wished
from tests.score.written import score

soundfile = pytest.importorskip("soundfile")
CHOSEN = take(score(V="6/8 q. q.", C="2/4 q q"))
CLICK = wished(CHOSEN, Ladder(Fraction(60), Fraction(72), Fraction(6)), layers=ALL, count_in=1)


@pytest.mark.parametrize("bits", [16, 24])
def test_nothing_is_lost_in_packing(bits: int, tmp_path: Path) -> None:
    wav.write(CLICK, tmp_path / "click.wav", bits=bits)
    flac.write(CLICK, tmp_path / "click.flac", bits=bits)
    plain, _ = soundfile.read(tmp_path / "click.wav", dtype="int32")
    packed, rate = soundfile.read(tmp_path / "click.flac", dtype="int32")
    assert rate == 48000
    assert np.array_equal(plain, packed)
    sizes = [(tmp_path / name).stat().st_size for name in ("click.flac", "click.wav")]
    assert sizes[0] < sizes[1] / 4


def test_the_passage_is_in_the_tags(tmp_path: Path) -> None:
    flac.write(CLICK, tmp_path / "click.flac", tags=tags_of(CLICK, CHOSEN))
    with soundfile.SoundFile(tmp_path / "click.flac") as file:
        assert file.title == "A study: V, bar 1"
        assert file.comment.startswith("dotted quarter = 60 to 72 by 6; beat, division")
        assert file.comment.endswith("3 times through; count-in 1")


def test_a_folder_that_is_not_there_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(NotWritten, match="could not be written"):
        flac.write(CLICK, tmp_path / "nowhere" / "click.flac")


def test_what_stands_in_the_way_stays_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    (tmp_path / "click.flac").mkdir()
    with pytest.raises(NotWritten):
        flac.write(CLICK, tmp_path / "click.flac")
    assert [file.name for file in tmp_path.iterdir()] == ["click.flac"]


def test_without_the_library_one_is_told_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "soundfile", None)
    with pytest.raises(CompanionError, match="pip install soundfile"):
        flac.write(CLICK, tmp_path / "click.flac")
    assert not list(tmp_path.iterdir())

"""The cache of scores already read: never a reason to fail, never wrong."""

from fractions import Fraction
from pathlib import Path

from companion.score import cache
from companion.score.model import TempoMark
from tests.score.written import score

MUSIC = score({1: (TempoMark(0, Fraction(3, 2), Fraction(145, 2)),)}, V="6/8 q. q.", C="2/4 q q")


def entries(folder: Path) -> list[Path]:
    return sorted(folder.iterdir())


def test_what_is_kept_comes_back_the_same(tmp_path: Path) -> None:
    cache.keep(tmp_path, "abc", MUSIC)
    assert cache.load(tmp_path, "abc") == MUSIC
    assert [entry.suffix for entry in entries(tmp_path)] == [".score"]


def test_an_entry_damaged_anywhere_counts_as_absent(tmp_path: Path) -> None:
    cache.keep(tmp_path, "abc", MUSIC)
    (entry,) = entries(tmp_path)
    whole = entry.read_bytes()
    for position in range(0, len(whole), 7):
        entry.write_bytes(whole[:position] + bytes([whole[position] ^ 1]) + whole[position + 1 :])
        assert cache.load(tmp_path, "abc") is None
        entry.write_bytes(whole[:position])
        assert cache.load(tmp_path, "abc") is None
    cache.keep(tmp_path, "abc", MUSIC)
    assert cache.load(tmp_path, "abc") == MUSIC


def test_a_folder_that_cannot_be_written_to_is_no_reason_to_fail(tmp_path: Path) -> None:
    in_the_way = tmp_path / "a file"
    in_the_way.write_text("")
    cache.keep(in_the_way / "cache", "abc", MUSIC)
    assert cache.load(in_the_way / "cache", "abc") is None


def test_what_is_found_is_kept_and_a_damaged_entry_is_found_afresh(tmp_path: Path) -> None:
    place = cache.place_of(tmp_path, "abc", "lengths")
    found = (Fraction(3, 2), Fraction(1, 3))
    assert cache.kept_or_found(place, tuple[Fraction, ...], lambda: found) == found
    assert cache.kept_or_found(place, tuple[Fraction, ...], lambda: ()) == found
    place.write_bytes(place.read_bytes()[:-1])
    assert cache.kept_or_found(place, tuple[Fraction, ...], lambda: found[:1]) == found[:1]
    assert cache.kept_or_found(place, tuple[Fraction, ...], lambda: ()) == found[:1]
    assert cache.kept_or_found(None, tuple[Fraction, ...], lambda: ()) == ()


def test_the_same_content_has_the_same_digest_wherever_it_lies() -> None:
    assert cache.digest(b"music") == cache.digest(b"music") != cache.digest(b"musik")
    assert len(cache.digest(b"")) == 32

"""A file is wholly written or not at all, whoever writes it and whatever comes between."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.file_kind import plain_file
from companion.files.whole_file import (
    MARK,
    NotWritten,
    keep_file,
    refuse_untyped,
    whole_file,
    write_all,
    write_whole,
)


def test_a_file_takes_the_place_of_an_older_one(tmp_path: Path) -> None:
    place = tmp_path / "click.wav"
    place.write_bytes(b"older")
    write_whole(place, b"newer")
    assert place.read_bytes() == b"newer"
    assert list(tmp_path.iterdir()) == [place]


def test_an_interruption_leaves_the_older_one_and_nothing_beside_it(tmp_path: Path) -> None:
    place = tmp_path / "click.wav"
    place.write_bytes(b"older")
    with pytest.raises(KeyboardInterrupt), whole_file(place) as file:
        file.write(b"half of the newer")
        raise KeyboardInterrupt
    assert place.read_bytes() == b"older"
    assert list(tmp_path.iterdir()) == [place]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_told(tmp_path: Path) -> None:
    with pytest.raises(NotWritten, match="No space left"):
        write_whole(Path("/dev/full"), b"x")


def test_a_longest_name_can_be_written(tmp_path: Path) -> None:
    place = tmp_path / ("x" * 255)
    write_whole(place, b"whole")
    assert place.read_bytes() == b"whole"


def test_it_may_be_read_by_whoever_may_read_what_the_player_writes(tmp_path: Path) -> None:
    (tmp_path / "usual").write_bytes(b"")
    write_whole(tmp_path / "ours", b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "usual").stat().st_mode


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")
def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "synced").mkdir()
    link, there = tmp_path / "choices.json", tmp_path / "synced" / "choices.json"
    link.symlink_to(there)
    keep_file(link, b"{}")
    assert link.is_symlink()
    assert there.read_bytes() == b"{}"


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such stream")
def test_a_stream_is_written_to_directly(tmp_path: Path) -> None:
    reader, writer = os.pipe()
    write_whole(Path(f"/dev/fd/{writer}"), b"straight")
    os.close(writer)
    with os.fdopen(reader, "rb") as stream:
        assert stream.read() == b"straight"


@pytest.mark.parametrize("name", ["\0", "x" * 300, "none/x"])
def test_a_place_that_cannot_be_written_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(NotWritten, match="could not be written"):
        write_whole(tmp_path / name, b"")
    assert list(tmp_path.iterdir()) == []


def test_what_is_kept_makes_its_folder(tmp_path: Path) -> None:
    keep_file(tmp_path / "a" / "b" / "c", b"kept")
    assert (tmp_path / "a" / "b" / "c").read_bytes() == b"kept"
    with pytest.raises(NotWritten, match="could not be kept"):
        keep_file(tmp_path / "a" / "b" / "c" / "d", b"")


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")
def test_a_link_is_not_followed_unasked(tmp_path: Path) -> None:
    there, link = tmp_path / "diary.txt", tmp_path / "click.wav"
    there.write_bytes(b"mine")
    link.symlink_to(there)
    with pytest.raises(NotWritten, match="this is a link"):
        write_whole(link, b"click")
    assert there.read_bytes() == b"mine"


SCORES = {
    "trio.musicxml": b'<?xml version="1.0"?>\n<score-partwise version="4.0">',
    "trio.mid": b"MThd\0\0\0\6\0\1\0\1\0\x60",
    "trio.abc": b"X: 1\nT: Trio\nK: G\n",
    "trio.krn": b"**kern\t**kern\n",
    "trio.mei": b'<?xml version="1.0"?><mei xmlns="http://www.music-encoding.org/ns/mei">',
}
"""How each begins by its own standard: MusicXML 4.0, SMF 1.1, ABC 2.1, Humdrum, MEI 5."""


@pytest.mark.parametrize("name", SCORES)
def test_a_score_is_never_replaced_unasked(tmp_path: Path, name: str) -> None:
    score = tmp_path / name
    score.write_bytes(SCORES[name])
    with pytest.raises(NotWritten, match="a score of that name"):
        write_whole(score, b"x")
    assert score.read_bytes() == SCORES[name]


@pytest.mark.parametrize("path", sorted(Path("/").glob("dev/loop[0-9]")))
def test_a_device_is_never_written_to(path: Path) -> None:
    with pytest.raises(NotWritten, match="this is a device"):
        write_whole(path, b"x")


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such pipes")
def test_what_is_no_file_is_called_what_it_is(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.wav")
    (tmp_path / "folder.wav").mkdir()
    (tmp_path / "zero.wav").symlink_to("/dev/zero")
    for name, kind in (("pipe", "a pipe"), ("folder", "a folder"), ("zero", "a device")):
        path = tmp_path / f"{name}.wav"
        with pytest.raises(NotWritten, match=f"this is {kind}"):
            write_whole(path, b"x")
        with pytest.raises(CompanionError, match=f"this is {kind}"):
            plain_file(path)


def test_a_name_that_nobody_typed_replaces_only_what_was_written_here(tmp_path: Path) -> None:
    typed, beside = tmp_path / "week.json", tmp_path / "week.html"
    contents = {typed: b"newer", beside: b"newer"}
    typed.write_bytes(b"older")
    beside.write_bytes(b"my travel companion")
    with pytest.raises(NotWritten, match=r"week\.html would be replaced"):
        write_all(contents, [typed])
    assert (typed.read_bytes(), beside.read_bytes()) == (b"older", b"my travel companion")
    beside.write_bytes(b"x" * 9000 + MARK.encode() + b"\n")
    write_all(contents, [typed])
    assert (typed.read_bytes(), beside.read_bytes()) == (b"newer", b"newer")


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right there")
def test_nothing_is_written_before_all_can_be(tmp_path: Path) -> None:
    first, second = tmp_path / "p-1.svg", tmp_path / "p-2.svg"
    second.symlink_to(tmp_path / "elsewhere")
    for typed in ([], [first, second]):
        with pytest.raises(NotWritten):
            write_all({first: b"1", second: b"2"}, typed)
        assert not first.exists()


def test_many_names_are_told_in_brief(tmp_path: Path) -> None:
    pages = [tmp_path / f"p-{number}.svg" for number in range(1, 9)]
    for page in pages:
        page.write_bytes(b"mine")
    with pytest.raises(NotWritten, match=r"p-3\.svg and 5 more would be"):
        refuse_untyped(pages)


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such rights")
def test_what_is_kept_is_for_this_user_alone(tmp_path: Path) -> None:
    keep_file(tmp_path / "choices.json", b"{}")
    assert (tmp_path / "choices.json").stat().st_mode & 0o077 == 0

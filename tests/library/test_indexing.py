"""A folder as a library: everything in it is either known or told why not."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from hashlib import blake2b
from pathlib import Path

import msgspec
import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.library.folder_walk import FoundFile
from companion.library.index import update_index
from companion.library.index_store import known_libraries, load_index
from companion.library.indexed_score import Index, file_of
from companion.library.search import search
from companion.library.worker_pool import read_all, start_workers
from companion.score.cache import READER_VERSION
from tests.library import falling

HOME = Path(__file__).parents[2]
STUDY = """<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>{title}</work-title></work><part-list>
<score-part id="P1"><part-name>Violin</part-name></score-part>
<score-part id="P2"><part-name>Cello</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>2</divisions>
<time><beats>6</beats><beat-type>8</beat-type></time></attributes>
<note><pitch><step>A</step><octave>4</octave></pitch><duration>3</duration></note>
<note><pitch><step>A</step><octave>4</octave></pitch><duration>3</duration></note>
</measure></part>
<part id="P2"><measure number="1"><attributes><divisions>2</divisions>
<time><beats>2</beats><beat-type>4</beat-type></time></attributes>
<note><pitch><step>A</step><octave>2</octave></pitch><duration>2</duration></note>
<note><pitch><step>A</step><octave>2</octave></pitch><duration>2</duration></note>
</measure></part></score-partwise>
"""


def write_study(path: Path, title: str = "A study") -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(STUDY.format(title=title), "utf-8")
    return path


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "data" / "cache")


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """Five studies in a folder of scores and one below it."""
    for number in range(1, 4):
        write_study(tmp_path / "shelf" / f"{number}.musicxml", f"Study {number}")
    for number in (10, 11):
        write_study(tmp_path / "shelf" / "duos" / f"{number}.xml", f"Study {number}")
    return tmp_path / "shelf"


def names(index: Index) -> list[str]:
    return [entry.path for entry in index.entries]


def read_in(update: Callable[..., Index], *args: object, **more: object) -> tuple[Index, int]:
    """The index, and how many files were read for it."""
    read: list[int] = []
    index = update(*args, progress=lambda done, total, name: read.append(done), **more)
    return index, max(read)


def test_a_second_look_reads_only_what_changed_and_forgets_what_is_gone(
    folders: Folders, shelf: Path
) -> None:
    first, count = read_in(update_index, folders, shelf)
    assert count == 5
    assert [entry.title for entry in first.entries] == [f"Study {n}" for n in (1, 2, 3, 10, 11)]
    again, count = read_in(update_index, folders, shelf)
    assert (again, count) == (first, 0)

    write_study(shelf / "2.musicxml", "Quite another study")
    (shelf / "duos" / "10.xml").unlink()
    changed, count = read_in(update_index, folders, shelf)
    assert count == 1
    assert [entry.title for entry in changed.entries] == [
        "Quite another study",
        "Study 1",
        "Study 3",
        "Study 11",
    ]
    assert load_index(folders, shelf) == changed
    assert read_in(update_index, folders, shelf, again=True) == (changed, 4)


def test_a_newer_reader_reads_everything_once_more(
    folders: Folders, shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    update_index(folders, shelf)
    monkeypatch.setattr("companion.library.index.READER_VERSION", READER_VERSION + 1)
    assert read_in(update_index, folders, shelf)[1] == 5


def test_whoever_stops_goes_on_from_there(folders: Folders, shelf: Path) -> None:
    done: list[str] = []
    begun = update_index(
        folders,
        shelf,
        progress=lambda count, total, name: done.append(name) if count else None,
        cancelled=lambda: bool(done),
    )
    assert 1 <= len(begun.entries) < 5
    assert load_index(folders, shelf) == begun
    whole, count = read_in(update_index, folders, shelf)
    assert len(whole.entries) == 5
    assert count == 5 - len(begun.entries)


def test_what_was_read_is_written_down_on_the_way(
    folders: Folders, shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("companion.library.index.KEEP_EVERY", 0.0)
    on_the_disk: list[int] = []

    def look(done: int, total: int, name: str) -> None:
        index = load_index(folders, shelf)
        on_the_disk.append(len(index.entries) if index else 0)

    update_index(folders, shelf, progress=look)
    assert on_the_disk[-5:] == [0, 1, 2, 3, 4]


def test_a_damaged_index_is_made_afresh(folders: Folders, shelf: Path) -> None:
    whole = update_index(folders, shelf)
    (place,) = (folders.cache / "libraries").iterdir()
    content = place.read_bytes()
    for position in range(0, len(content), 97):
        place.write_bytes(
            content[:position] + bytes([content[position] ^ 1]) + content[position + 1 :]
        )
        assert load_index(folders, shelf) is None
        assert known_libraries(folders) == []
    place.write_bytes(content[: len(content) // 2])
    assert read_in(update_index, folders, shelf) == (whole, 5)


def test_an_index_of_the_earlier_form_can_be_searched_and_is_read_afresh(
    folders: Folders, shelf: Path
) -> None:
    """There the hardest passages were sentences: first, last, points, bars, what pulls; and
    mixed meters had no printed numbers."""
    fresh = update_index(folders, shelf)
    (kept,) = (folders.cache / "libraries").glob("*.index")
    folder, entries = msgspec.msgpack.decode(kept.read_bytes()[16:])
    for entry in entries:
        entry[9] = [[1, 2]]
        entry[13] = [[1, 1, 7, "bar 1", "3 against 2 in the beat, as written: Violin in 3"]]
    content = msgspec.msgpack.encode([folder, entries])
    kept.write_bytes(blake2b(content, digest_size=16).digest() + content)
    assert known_libraries(folders) == [shelf]
    earlier = load_index(folders, shelf)
    assert earlier is not None
    assert [entry.path for entry in search(earlier, "study 11")] == ["duos/11.xml"]
    assert {entry.mixed[0].printed for entry in earlier.entries} == {"@1–@2"}
    assert read_in(update_index, folders, shelf) == (fresh, 5)


def test_two_programs_may_index_one_folder_at_once(folders: Folders, shelf: Path) -> None:
    code = (
        "import sys; from pathlib import Path; from companion.library import index as indexing;"
        "from companion.files.folders import Folders; indexing.KEEP_EVERY = 0;"
        "cache = Path(sys.argv[1]);"
        "print(len(indexing.update_index(Folders(cache, cache), Path(sys.argv[2])).entries))"
    )
    command = [sys.executable, "-c", code, str(folders.cache), str(shelf)]
    both = [subprocess.Popen(command, cwd=HOME, stdout=subprocess.PIPE) for _ in range(2)]
    assert [program.communicate()[0].strip() for program in both] == [b"5", b"5"]
    index = load_index(folders, shelf)
    assert index is not None
    assert len(index.entries) == 5
    assert [place.suffix for place in (folders.cache / "libraries").iterdir()] == [".index"]


def test_what_another_program_found_out_meanwhile_is_not_lost(
    folders: Folders, shelf: Path
) -> None:
    def look(done: int, total: int, name: str) -> None:
        if done == 1:
            update_index(folders, shelf)
            stop.append(name)

    stop: list[str] = []
    stopped = update_index(folders, shelf, progress=look, cancelled=lambda: bool(stop))
    assert len(stopped.entries) == 5


def test_a_cache_that_cannot_be_written_to_is_no_reason_to_fail(shelf: Path) -> None:
    in_the_way = shelf / "a file"
    in_the_way.write_text("")
    folders = Folders(in_the_way, in_the_way / "cache")
    assert len(update_index(folders, shelf).scores) == 5
    assert load_index(folders, shelf) is None


@pytest.mark.skipif(sys.platform == "win32", reason="processes start in another way there")
def test_inside_a_running_screen_the_library_is_read_without_processes(
    folders: Folders, shelf: Path
) -> None:
    """A full-screen program's standard error has no file descriptor, so none can be started."""
    code = (
        "import io, sys; from pathlib import Path;"
        "from companion.files.folders import Folders;"
        "from companion.library.index import update_index;"
        "sys.stderr = io.StringIO(); sys.stderr.fileno = lambda: -1;"
        "cache = Path(sys.argv[1]);"
        "print(len(update_index(Folders(cache, cache), Path(sys.argv[2])).scores));"
        "print('multiprocessing.popen_spawn_posix' in sys.modules)"
    )
    command = [sys.executable, "-c", code, str(folders.cache), str(shelf)]
    told = subprocess.run(command, cwd=HOME, capture_output=True, text=True)
    assert told.stdout.split() == ["5", "False"]


def test_every_library_that_is_still_there_is_known(folders: Folders, shelf: Path) -> None:
    assert known_libraries(folders) == []
    update_index(folders, shelf)
    update_index(folders, shelf / "duos")
    assert known_libraries(folders) == [shelf, shelf / "duos"]
    for path in (shelf / "duos").iterdir():
        path.unlink()
    (shelf / "duos").rmdir()
    assert known_libraries(folders) == [shelf]


def test_a_file_that_fells_its_reader_takes_no_other_along(
    folders: Folders, shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_study(shelf / "trap.xml")
    monkeypatch.setattr(
        "companion.library.worker_pool.start_workers",
        lambda size, limit: replace(
            start_workers(size, limit), reader=falling.read_but_fall_over_traps
        ),
    )
    index = update_index(folders, shelf)
    assert len(index.scores) == 5
    (trap,) = index.unreadable
    assert trap.path == "trap.xml"
    assert trap.problem.startswith("The process that read it broke off.")
    assert read_in(update_index, folders, shelf)[1] == 0


def test_a_fault_of_the_reader_is_told_and_tried_again(
    folders: Folders, shelf: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(
            "companion.library.worker_pool.start_workers",
            lambda size, limit: replace(start_workers(size, limit), reader=falling.stumble),
        )
        index = update_index(folders, shelf / "duos")
    assert {entry.problem for entry in index.unreadable} == {
        "The reader stumbled over it (ZeroDivisionError). Export it again as MusicXML."
    }
    assert len(update_index(folders, shelf / "duos").scores) == 2


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a file that never answers")
def test_a_file_that_never_answers_is_given_up_in_its_time(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.musicxml")
    files = [FoundFile(b"pipe.musicxml")]
    (entry,) = read_all(tmp_path, files, tmp_path / "cache", lambda: False, limit=0.1)
    assert entry.problem == "Reading it took over 0.1 seconds. Export it again as MusicXML."


def test_a_slow_format_is_given_up_in_its_time(tmp_path: Path) -> None:
    (tmp_path / "tune.abc").write_text("X:1\nT:A tune\nM:2/4\nL:1/4\nK:C\nCD|EF|\n")
    files = [FoundFile(b"tune.abc")]
    (entry,) = read_all(tmp_path, files, tmp_path / "cache", lambda: False, limit=0.1)
    assert entry.problem == "Reading it took over 0.1 seconds. Export it again as MusicXML."
    (entry,) = read_all(tmp_path, files, tmp_path / "cache", lambda: False)
    assert (entry.title, entry.bars, entry.problem) == ("A tune", 2, "")


def test_a_folder_that_is_none_is_told_in_a_sentence(folders: Folders, shelf: Path) -> None:
    for folder in (shelf / "nowhere", shelf / "1.musicxml", Path("a\0b"), Path("~nobody here")):
        with pytest.raises(CompanionError) as told:
            update_index(folders, folder)
        assert told.value.exit_status == 1
        assert load_index(folders, folder) is None


def test_an_entry_leads_back_to_its_file(folders: Folders, shelf: Path) -> None:
    index = update_index(folders, shelf)
    (entry,) = search(index, "10.xml")
    assert file_of(index, entry) == shelf / "duos" / "10.xml"
    assert entry.size == (shelf / "duos" / "10.xml").stat().st_size

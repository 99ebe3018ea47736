"""From the teacher's folder to the student's list, whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from companion.click.plan.plan import planned
from companion.errors import CompanionError
from companion.exercise.file.faults import ExerciseError
from companion.exercise.pack import PackError, pack
from companion.files.folders import demo_score
from companion.score.cache import digest
from companion.session.assigned_exercises import assigned
from companion.session.exercise_drill import playable_drill
from companion.session.open_exercise import Taken, check_exercise, close_exercise, open_exercise
from companion.session.write_exercise import write_pack
from tests.session.teacher_and_student import TWO_DRILLS, everything_in, student, teacher


def packed(tmp_path: Path, text: str = TWO_DRILLS) -> Path:
    path = teacher(tmp_path / "teacher", text)
    return write_pack(check_exercise(path, student(tmp_path / "t")), tmp_path / "ferry")[0]


def test_a_pack_and_its_exercise_file_are_the_same_exercise(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    by_pack, is_new = open_exercise(packed(tmp_path), here)
    by_file, is_new_again = open_exercise(tmp_path / "teacher" / "ferry.toml", here)
    assert (is_new, is_new_again) == (Taken.NEW, Taken.THERE)
    assert by_pack == by_file


def test_two_students_have_the_same_scores_by_their_content(tmp_path: Path) -> None:
    path = packed(tmp_path)
    one, _ = open_exercise(path, student(tmp_path / "one"))
    two, _ = open_exercise(path, student(tmp_path / "two"))
    assert one.id == two.id
    assert [t.bars for t in one.targets] == [t.bars for t in two.targets]
    for number, target in enumerate(one.targets, 1):
        assert digest(one.score_of(number).read_bytes()) == target.bars.score_digest
    assert one.score_of(2).read_bytes() == demo_score().read_bytes()


def test_every_drill_can_be_put_on_the_stand(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(packed(tmp_path), here)
    clap, viola = (playable_drill(opened, number, here) for number in (1, 2))
    assert (clap.passage.part_name, clap.passage.last) == ("Clap", 2)
    assert (viola.passage.first, viola.passage.last) == (14, 15)
    plans = [
        planned(one.passage, one.open_score.conflicts, one.click_settings) for one in (clap, viola)
    ]
    assert plans[0].strokes and plans[1].repeat == 4
    with pytest.raises(CompanionError, match="no drill 3"):
        playable_drill(opened, 3, here)


@pytest.mark.parametrize(
    ("spoil", "told"),
    [
        (lambda text: text.replace('"Viola"', '"Oboe"'), "no part"),
        (lambda text: text.replace("B-B+1", "99-100"), "no bar"),
        (lambda text: text.replace("e e e e", "e e e"), "takes 2"),
        (lambda text: text.replace("ferry.musicxml", "other.musicxml"), "no such file"),
        (lambda text: text.replace("tempo = 60", "tempo = 6"), "tempo"),
    ],
)
def test_an_exercise_with_a_fault_is_not_opened(spoil: object, told: str, tmp_path: Path) -> None:
    assert callable(spoil)
    path = teacher(tmp_path / "teacher", spoil(TWO_DRILLS))
    with pytest.raises(ExerciseError, match=told):
        open_exercise(path, student(tmp_path / "s"))
    assert not (tmp_path / "s" / "exercises").exists()


def test_a_pack_that_brings_more_than_its_exercise_needs_is_not_opened(tmp_path: Path) -> None:
    files = {"exercise.toml": b'format = 1\ntitle = "x"\n[[drill]]\npattern = "2/4 h"\n'}
    (tmp_path / "x").write_bytes(pack({**files, "run.sh": b"rm"}))
    with pytest.raises(CompanionError, match="run.sh"):
        open_exercise(tmp_path / "x", student(tmp_path / "s"))
    (tmp_path / "y").write_bytes(pack({"exercise.toml": TWO_DRILLS.encode()}))
    with pytest.raises(CompanionError, match="but not in both"):
        open_exercise(tmp_path / "y", student(tmp_path / "s"))
    assert not (tmp_path / "s" / "exercises").exists()


def test_a_pack_that_is_refused_leaves_no_trace(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    open_exercise(packed(tmp_path), here)
    before = everything_in(here.data)
    broken = (tmp_path / "ferry.exercise").read_bytes()[:-30]
    (tmp_path / "broken").write_bytes(broken)
    with pytest.raises(PackError):
        open_exercise(tmp_path / "broken", here)
    assert everything_in(here.data) == before


def test_a_disk_that_fails_half_way_leaves_the_list_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    here = student(tmp_path / "s")
    monkeypatch.setattr(os, "rename", full)
    with pytest.raises(CompanionError, match="No space left"):
        open_exercise(packed(tmp_path), here)
    monkeypatch.undo()
    assert everything_in(here.data / "exercises") == {}
    assert assigned(here).assigned == ()
    assert open_exercise(tmp_path / "ferry.exercise", here)[1] is Taken.NEW


def test_what_an_accident_left_behind_is_not_in_the_list_and_not_in_the_way(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(packed(tmp_path), here)
    (opened.folder / "opened.json").unlink()
    (here.data / "exercises" / ".opening-x").mkdir()
    listing = assigned(here)
    assert len(listing.problems) == 1 and not listing.assigned
    again, is_new = open_exercise(tmp_path / "ferry.exercise", here)
    assert is_new is Taken.NEW and again.id == opened.id
    assert not assigned(here).problems


def test_closing_takes_it_off_the_list(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    opened, _ = open_exercise(packed(tmp_path), here)
    close_exercise(opened)
    assert assigned(here).assigned == ()
    assert open_exercise(tmp_path / "ferry.exercise", here)[1] is Taken.NEW


def test_abc_is_read_as_well(tmp_path: Path) -> None:
    path = tmp_path / "x.toml"
    path.write_text(
        'format = 1\ntitle = "In letters"\n[[drill]]\nabc = """\nM:2/4\nL:1/8\nK:D\nDEFG|A4|\n"""\n'
    )
    here = student(tmp_path / "s")
    opened, _ = open_exercise(path, here)
    assert opened.score_of(1).name == "drill-1.abc"
    drill = playable_drill(opened, 1, here)
    assert [note.pitch for note in drill.open_score.score.parts[0].bars[0].notes] == [
        *("D4", "E4", "F#4", "G4")
    ]

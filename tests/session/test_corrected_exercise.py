"""A corrected exercise in the place of its earlier version, in list, log and report."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.errors import CompanionError, RequestError
from companion.exercise.drill_goal import GoalState
from companion.exercise.instruments import instrument_named
from companion.exercise.pack import unpack
from companion.files.folders import Folders
from companion.journal.mastery_cache import all_standings
from companion.publish.report.student_report import ReportRequest, make_report
from companion.session import open_exercise as opening
from companion.session.assigned_exercises import assigned
from companion.session.open_exercise import Taken, check_exercise, open_exercise
from companion.session.write_exercise import write_pack
from tests.session.teacher_and_student import note, student

FIRST = """
format = 2
title = "The ferry"
due = 2030-05-21
[[drill]]
title = "clapped"
pattern = "2/4 e3*3 e3*3 | h"
tempo = 60
[[drill]]
title = "bowed"
pattern = "violin: 2/4 D4q A4q | D4h"
tempo = 72
goal = { days = 2 }
"""
CORRECTED = FIRST.replace("A4q", "B4q").replace("tempo = 72", "tempo = 66")


def packed(folder: Path, text: str, *, corrects: Path | None = None, name: str = "ferry") -> Path:
    """A teacher's pack, written to the place where her packs lie."""
    folder.mkdir(exist_ok=True)
    source = folder / "ferry.toml"
    source.write_text(text, "utf-8")
    checked = check_exercise(source, student(folder / "t"))
    return write_pack(checked, folder / name, corrects)[0]


def practised(here: Folders) -> None:
    (one,) = assigned(here).assigned
    clapped, bowed = one.assignment.targets
    note(here, clapped, 60)
    note(here, bowed, 66, days=0.02)


def test_a_corrected_pack_stands_in_the_place_of_the_earlier_one(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    first, taken = open_exercise(packed(tmp_path / "desk", FIRST), here)
    assert taken is Taken.NEW and first.revision.number == 1
    practised(here)
    later, taken = open_exercise(packed(tmp_path / "desk", CORRECTED), here)
    assert taken is Taken.CORRECTED and (later.revision.first, later.revision.number) == (
        first.id,
        2,
    )
    (one,) = assigned(here).assigned
    assert one.assignment == later and later.opened == first.opened
    assert [drill.tries for drill in one.drills] == [1, 1]
    # 66 was too slow for the goal of 72 and reaches the corrected one on its first of two days.
    assert [drill.state for drill in one.drills] == [GoalState.DONE, GoalState.IN_PROGRESS]
    assert one.drills[1].good_days == 1


def test_the_log_counts_both_versions_as_one_passage(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    open_exercise(packed(tmp_path / "desk", FIRST), here)
    practised(here)
    later, _ = open_exercise(packed(tmp_path / "desk", CORRECTED), here)
    note(here, later.targets[1], 66, days=1)
    assert {one.bars for one in all_standings(here)} == {one.bars for one in later.targets}
    at = datetime.now(UTC) + timedelta(days=4)
    report = make_report(here, ReportRequest(exercises=("ferry",)), at)
    assert [len(one.attempts) for one in report.passages] in ([1, 2], [2, 1])
    assert report.exercises[0].state == "done"


def test_a_correction_may_go_back_and_nothing_is_lost(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    open_exercise(packed(tmp_path / "desk", FIRST), here)
    practised(here)
    for text in (CORRECTED, FIRST):
        open_exercise(packed(tmp_path / "desk", text), here)
    (one,) = assigned(here).assigned
    assert one.assignment.revision.number == 3
    assert [drill.tries for drill in one.drills] == [1, 1]
    assert {one.bars for one in all_standings(here)} == {one.bars for one in one.assignment.targets}


def test_drills_are_known_by_their_titles_where_one_was_put_before(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    open_exercise(packed(tmp_path / "desk", FIRST), here)
    practised(here)
    more = FIRST.replace(
        "[[drill]]", '[[drill]]\ntitle = "spoken"\npattern = "2/4 q q"\n[[drill]]', 1
    )
    open_exercise(packed(tmp_path / "desk", more), here)
    (one,) = assigned(here).assigned
    assert [drill.tries for drill in one.drills] == [0, 1, 1]


def test_an_earlier_version_does_not_come_back_by_itself(tmp_path: Path) -> None:
    here = student(tmp_path / "s")
    old = packed(tmp_path / "desk", FIRST).read_bytes()
    open_exercise(packed(tmp_path / "desk", CORRECTED), here)
    (tmp_path / "old.exercise").write_bytes(old)
    with pytest.raises(RequestError, match="a later version"):
        open_exercise(tmp_path / "old.exercise", here)
    assert len(assigned(here).assigned) == 1


def test_a_pack_of_another_title_is_no_correction_unless_it_is_said(tmp_path: Path) -> None:
    desk = tmp_path / "desk"
    old = packed(desk, FIRST)
    other = FIRST.replace("The ferry", "The bridge")
    with pytest.raises(RequestError, match="another exercise, “The ferry”"):
        packed(desk, other)
    said = packed(desk, other, corrects=old, name="bridge")
    first = unpack(old.read_bytes(), "x")[1].first
    assert unpack(said.read_bytes(), "x")[1] == type(unpack(old.read_bytes(), "x")[1])(first, 2)
    source, here = desk / "ferry.toml", student(tmp_path / "t")
    again, revision = write_pack(check_exercise(source, here), desk / "ferry", is_another=True)
    assert again == old and revision.number == 1


def test_the_same_exercise_packed_again_is_the_same_version(tmp_path: Path) -> None:
    before = packed(tmp_path / "desk", FIRST).read_bytes()
    assert packed(tmp_path / "desk", FIRST).read_bytes() == before


def test_what_says_a_wrong_version_is_refused(tmp_path: Path) -> None:
    from tests.exercise.test_pack import FILES
    from tests.exercise.test_pack import packed as by_hand

    for other in (
        {"first": "../x", "revision": 2},
        {"first": "a" * 64, "revision": True},
        {"first": "a" * 64},
        {"first": "a" * 64, "revision": 10**9},
    ):
        with pytest.raises(CompanionError, match="not that of an exercise"):
            unpack(by_hand(FILES, **other), "x")


def test_from_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "ferry.toml").write_text(FIRST, "utf-8")
    ask = ["exercise", "--data-dir", str(tmp_path / "s")]
    file = str(tmp_path / "ferry.toml")
    assert main([*ask, "pack", file]) == 0
    assert main([*ask, "open", str(tmp_path / "ferry.exercise")]) == 0
    (tmp_path / "ferry.toml").write_text(CORRECTED, "utf-8")
    assert main([*ask, "pack", file]) == 0
    assert main([*ask, "open", str(tmp_path / "ferry.exercise")]) == 0
    assert main([*ask, "list"]) == 0
    told = capsys.readouterr().out
    assert "The ferry, version 2" in told and "Corrected, attempts kept: The ferry" in told
    assert "1  The ferry (version 2) · assigned · due" in told
    for word in ("1", "ferry", "The ferry", "three_over_two", "clap three, step two"):
        assert main([*ask, "show", word]) == 0, word


@pytest.fixture
def brought_along(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The ferry as an exercise that the program brings along."""
    library = tmp_path / "library"
    library.mkdir()
    monkeypatch.setattr(opening, "exercise_library_folder", lambda: library)
    (library / "ferry.toml").write_text(FIRST, "utf-8")
    return library / "ferry.toml"


def test_a_built_in_exercise_with_new_notes_takes_the_place_of_the_old(
    tmp_path: Path, brought_along: Path
) -> None:
    here = student(tmp_path / "s")
    open_exercise(brought_along, here)
    practised(here)
    brought_along.write_text(CORRECTED, "utf-8")  # the program was updated
    later, taken = open_exercise(brought_along, here)
    assert taken is Taken.CORRECTED and later.revision.number == 2
    (one,) = assigned(here).assigned
    assert [drill.tries for drill in one.drills] == [1, 1]
    assert open_exercise(brought_along, here)[1] is Taken.THERE


def test_a_built_in_exercise_for_another_instrument_takes_no_place(
    tmp_path: Path, brought_along: Path
) -> None:
    here = student(tmp_path / "s")
    for name in ("violin", "viola"):
        assert open_exercise(brought_along, here, instrument_named(name))[1] is Taken.NEW
    assert len(assigned(here).assigned) == 2


def test_a_file_of_the_players_own_takes_no_place(tmp_path: Path, brought_along: Path) -> None:
    here = student(tmp_path / "s")
    open_exercise(brought_along, here)
    own = tmp_path / "ferry.toml"
    own.write_text(CORRECTED, "utf-8")
    assert open_exercise(own, here)[1] is Taken.NEW

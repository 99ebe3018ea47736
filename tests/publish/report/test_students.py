"""Which reports are one student's."""

from dataclasses import replace as changed
from datetime import datetime
from fractions import Fraction
from pathlib import Path

import pytest
from msgspec.structs import replace

from companion.cli.main import main
from companion.publish.report.class_students import Answers, Student, class_of
from companion.publish.report.report_file import Report, ReportedPassage, write_report
from tests.practice.reported import drill, exercise, passage, report

LAPTOP, DESKTOP, OTHER = "a1" * 8, "b2" * 8, "c3" * 8
LATER = "2026-03-15T20:00:00+01:00"


def students(*reports: Report, answers: Answers | None = None) -> list[Student]:
    listed = [(f"{number}.json", one) for number, one in enumerate(reports)]
    return class_of(listed, answers)[0]


def unclear(*reports: Report, answers: Answers | None = None) -> list[tuple[str, tuple[str, str]]]:
    listed = [(f"{number}.json", one) for number, one in enumerate(reports)]
    return [(one.name, one.players) for one in class_of(listed, answers)[1]]


def test_two_of_one_name_are_told_apart_and_asked_about() -> None:
    two = (report("Ada", player=LAPTOP), report("ada ", player=OTHER))
    assert sorted(one.name for one in students(*two)) == ["Ada (a1a1)", "ada (c3c3)"]
    assert unclear(*two) == [("Ada", (LAPTOP, OTHER))]


def test_what_the_teacher_said_holds() -> None:
    two = (report("Ada", player=LAPTOP), report("Ada", player=OTHER))
    one = Answers(one_student=[(OTHER, LAPTOP)])
    assert [each.players for each in students(*two, answers=one)] == [(LAPTOP, OTHER)]
    assert unclear(*two, answers=one) == []
    apart = Answers(two_students=[(OTHER, LAPTOP)])
    assert len(students(*two, answers=apart)) == 2 and unclear(*two, answers=apart) == []


def test_logs_that_were_exchanged_are_one_students() -> None:
    common = passage(1, 4, "fh")
    two = (report("Ada", common, player=LAPTOP), report("Ada", common, player=DESKTOP))
    (ada,) = students(*two)
    assert (ada.attempts, ada.minutes) == (2, {"2026-03-02": 12.5})  # one log: nothing adds up
    # A report of another name that holds the same attempts stays another student's.
    ben = (report("Ada", common, player=LAPTOP), report("Ben", common, player=OTHER))
    assert [one.name for one in students(*ben)] == ["Ada", "Ben"]


def test_a_student_who_writes_the_name_otherwise_is_the_same() -> None:
    (ada,) = students(report("Ada", player=LAPTOP), report("Ada B.", player=LAPTOP, made=LATER))
    assert (ada.name, ada.reports) == ("Ada B.", 2)


def test_two_machines_add_up(tmp_path: Path) -> None:
    laptop = report(
        "Ada",
        passage(1, 4, "fs"),
        player=LAPTOP,
        minutes={"2026-03-02": 10, "2026-03-03": 5},
        exercises=(exercise("Ferry", drill("in progress", reached=60, last_day="2026-03-02")),),
    )
    desktop = report(
        "Ada",
        passage(1, 4, "h"),
        player=DESKTOP,
        minutes={"2026-03-02": 7},
        exercises=(exercise("Ferry", drill("done", reached=72, last_day="2026-03-01")),),
    )
    (ada,) = students(laptop, desktop, answers=Answers(one_student=[(LAPTOP, DESKTOP)]))
    assert (ada.attempts, ada.minutes) == (3, {"2026-03-02": 17, "2026-03-03": 5})
    (ferry,) = ada.exercises.values()
    (one,) = ferry.drills
    assert (ferry.state, one.tries, one.last_day) == ("done", 6, "2026-03-02")
    assert one.reached is not None and one.reached.bpm == "72"


def test_a_report_from_before_there_were_ids_goes_by_its_name() -> None:
    old, new = report("Ada"), report("Ada", player=LAPTOP, made=LATER)
    assert [one.name for one in students(old, new)] == ["Ada"]
    three = students(old, new, report("Ada", player=OTHER))
    assert sorted(one.name for one in three) == ["Ada (a1a1)", "Ada (c3c3)", "Ada (no id)"]


def test_a_corrected_exercise_is_one_and_its_attempts_move_with_it() -> None:
    before = passage(1, 4, "fs")
    there = [changed(one, score_digest="99" * 16) for one in before.attempts]
    after = replace(before, score="99" * 16, attempts=there)
    first = report("Ada", before, player=LAPTOP, exercises=(exercise("Ferry", drill("assigned")),))
    corrected = exercise("Ferry", drill("done", reached=72), revision=2)
    later = report("Ada", after, player=LAPTOP, made=LATER, exercises=(corrected,))
    (ada,) = students(first, later)
    assert [place[0] for place in ada.work] == ["99" * 16] and ada.attempts == 2
    assert [(one.revision, one.state) for one in ada.exercises.values()] == [(2, "done")]


def tried(outcomes: str, *days: int) -> ReportedPassage:
    """At the bars of `drill`, at its goal's tempo, one attempt a day of March."""
    there = passage(1, 4, outcomes)
    attempts = [
        changed(
            one,
            score_digest="d1" * 16,
            part_id="P1",
            tempo=Fraction(72),
            at=datetime.fromisoformat(f"2026-03-{day:02}T18:00:00+01:00"),
        )
        for one, day in zip(there.attempts, days, strict=True)
    ]
    return replace(there, score="d1" * 16, part="P1", attempts=attempts)


def test_a_later_page_takes_nothing_back() -> None:
    """It knows what was noted on it and nothing else: neither state nor earlier tries."""
    known = tried("fhh", 1, 2, 3)
    log = report(
        "Ada", known, player=LAPTOP, exercises=(exercise("Ferry", drill("done", reached=72)),)
    )
    noted = replace(known, state="", held="", attempts=known.attempts[:1])
    page = report("Ada", noted, made=LATER, exercises=(exercise("Ferry", drill("assigned")),))
    (ada,) = students(log, page)
    (ferry,) = ada.exercises.values()
    assert (ferry.state, ferry.drills[0].tries) == ("done", 3)
    assert [work.told.state for work in ada.work.values()] == ["taking shape"]


def test_pages_are_joined_attempt_by_attempt() -> None:
    """Each page has one good day; the goal asks for two, which they make together."""
    first, again = tried("h", 1), tried("k", 2)
    aims = drill("assigned").aims
    assert aims is not None
    two_days = replace(drill("in progress"), tries=1, aims=replace(aims, days=2))
    pages = [
        report("Ada", one, made=made, exercises=(exercise("Ferry", two_days),))
        for one, made in ((first, "2026-03-01T20:00:00+01:00"), (again, LATER))
    ]
    both = replace(first, attempts=[*first.attempts, *again.attempts])
    repeated = report("Ada", both, made=LATER, exercises=(exercise("Ferry", two_days),))
    for reports in (pages, [*pages, repeated]):
        (ada,) = students(*reports)
        (ferry,) = ada.exercises.values()
        assert (ferry.state, ferry.drills[0].tries, ferry.drills[0].good_days) == ("done", 2, 2)


def test_the_answer_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, player in (("a", LAPTOP), ("b", OTHER)):
        one = report("Ada", passage(1, 4, "h"), player=player)
        (tmp_path / f"{name}.json").write_bytes(write_report(one))
    collect = ["collect", "--data-dir", str(tmp_path / "desk"), str(tmp_path)]
    assert main(collect) == 0
    assert f"--same {LAPTOP}={OTHER}" in capsys.readouterr().out
    assert main([*collect, "--same", f"{LAPTOP}={OTHER}"]) == 0
    assert main(collect) == 0
    told = capsys.readouterr().out
    assert "(a1a1)" not in told and "--same" not in told
    assert main([*collect, "--same", "Ada"]) == 2
    assert "does not name two logs" in capsys.readouterr().err


def test_on_a_terminal_it_asks(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, player in (("a", LAPTOP), ("b", OTHER)):
        one = report("Ada", passage(1, 4, "h"), player=player)
        (tmp_path / f"{name}.json").write_bytes(write_report(one))
    collect = ["collect", "--data-dir", str(tmp_path / "desk"), str(tmp_path)]
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("builtins.input", lambda _: "y")
    assert main(collect) == 0
    assert "(a1a1)" not in capsys.readouterr().out.splitlines()[2]

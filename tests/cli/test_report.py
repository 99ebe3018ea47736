"""`companion report` and `companion collect`, on data folders that stand for machines."""

import json
import os
from datetime import time, timedelta
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome, now
from companion.session.assigned_exercises import assigned
from tests.publish.handout.reading import read

Telling = pytest.CaptureFixture[str]

EXERCISE = """\
format = 1
title = "Three over two"

[[drill]]
pattern = '''
2/4 e3 e3 e3 e3 e3 e3
2/4 e e e e
'''
goal = { tempo = 60, times = 2 }
"""


class Machine:
    """One student's computer."""

    def __init__(self, home: Path) -> None:
        self.folders = Folders(home, home / "cache")
        self.home = home

    def run(self, *words: str) -> int:
        return main([*words[:1], "--data-dir", str(self.home), *words[1:]])

    def practise(self, *outcomes: Outcome, tempo: int = 60) -> None:
        """A minute each, on a day of practice that does not end meanwhile."""
        (one,) = assigned(self.folders).assigned
        target = one.assignment.targets[0]
        with Log.open(self.folders.data) as log:
            log.set_day_ends(time(11) if now().hour < 8 else time(4))
            for number, outcome in enumerate(outcomes, 1):
                log.note(
                    Attempt(
                        score_title=target.score_title,
                        score_digest=target.bars.score_digest,
                        score_path="/home/somebody/secret.musicxml",
                        part_id=target.bars.part_id,
                        part_name=target.part_name,
                        first_bar=target.bars.first,
                        last_bar=target.bars.last,
                        bars_label=target.bars_label,
                        tempo=target.tempo * tempo / 60,
                        beat=target.beat,
                        outcome=outcome,
                        seconds=60.0,
                        note="my own words",
                        at=now() + timedelta(minutes=number),
                    )
                )


@pytest.fixture
def exercise(tmp_path: Path) -> Path:
    path = tmp_path / "three.toml"
    path.write_text(EXERCISE)
    return path


@pytest.fixture
def ada(tmp_path: Path, exercise: Path) -> Machine:
    machine = Machine(tmp_path / "ada")
    assert machine.run("exercise", "open", str(exercise)) == 0
    machine.practise(Outcome.SHAKY, Outcome.HELD, Outcome.SECURE)
    return machine


@pytest.fixture
def ben(tmp_path: Path, exercise: Path) -> Machine:
    machine = Machine(tmp_path / "ben")
    assert machine.run("exercise", "open", str(exercise)) == 0
    machine.practise(Outcome.FELL_APART, Outcome.SHAKY)
    return machine


def test_what_two_students_did_is_what_the_teacher_reads(
    ada: Machine, ben: Machine, tmp_path: Path, capsys: Telling
) -> None:
    mine, theirs = tmp_path / "ada.json", tmp_path / "ben.json"
    note = "The second beat comes late."
    assert ada.run("report", "--name", "Ada", "--note", note, "-o", str(mine)) == 0
    assert ben.run("report", "--name", "Ben", "-o", str(theirs)) == 0
    capsys.readouterr()
    assert main(["collect", str(mine), str(theirs), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["reports"] == 2 and told["left_out"] == []
    first, second = told["students"]
    assert (first["name"], first["attempts"], first["held"]) == ("Ada", 3, 2)
    assert first["notes"] == [note]
    assert sum(first["minutes"].values()) == pytest.approx(3)
    assert first["exercises"][0]["state"] == "done"
    assert first["exercises"][0]["drills"][0]["goal"] == "held at quarter = 60, 2 times"
    assert (second["name"], second["attempts"], second["held"]) == ("Ben", 2, 0)
    assert second["exercises"][0]["state"] == "in progress"
    (hard,) = told["hard_bars"]
    # One of Ada's three did not hold and both of Ben's: (1/3 + 1) / 2.
    assert (hard["first"], hard["last"], hard["students"]) == (1, 1, 2)
    assert hard["failing"] == pytest.approx(2 / 3, abs=1e-4)


def test_the_table_is_printed_and_written(
    ada: Machine, ben: Machine, tmp_path: Path, capsys: Telling
) -> None:
    reports = tmp_path / "reports"
    reports.mkdir()
    for name, machine in (("Ada", ada), ("Ben", ben)):
        out = reports / f"{name}.json"
        assert machine.run("report", "--name", name, "-o", str(out)) == 0
    capsys.readouterr()
    sheet, page = tmp_path / "class.csv", tmp_path / "class.html"
    assert main(["collect", str(reports), "--csv", str(sheet), "--html", str(page)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == [
        *("Student", "Overdue", "Week", "Minutes", "Days", "Last", "day", "Attempts", "Held"),
        "Exercises",
        "Passages",
    ]
    assert lines[1].split()[:2] == ["Ada", "3"] and "1 of 1 done" in lines[1]
    assert lines[2].split()[:2] == ["Ben", "2"] and "0 of 1 done" in lines[2]
    assert "bar 1: 67 % of attempts did not hold (2 students; Line 1)" in lines[-1]
    assert sheet.read_bytes().count(b"\r\n") == 5
    assert "Ada" in read(page.read_text("utf-8")).text


def test_the_page_beside_the_report_says_the_same(
    ada: Machine, tmp_path: Path, capsys: Telling
) -> None:
    out = tmp_path / "ada.json"
    assert ada.run("report", "--name", "Ada <b>", "-o", str(out)) == 0
    text = read((tmp_path / "ada.html").read_text("utf-8")).text
    for said in ("Ada <b>: practice report", "3 minutes on 1 day", "done", "secure on "):
        assert said in text
    assert "anyone can change it and work out its checksum again" in text


def test_neither_own_notes_nor_paths_leave_the_machine(ada: Machine, tmp_path: Path) -> None:
    out = tmp_path / "ada.json"
    assert ada.run("report", "-o", str(out)) == 0
    for file in (out, tmp_path / "ada.html"):
        assert "my own words" not in file.read_text("utf-8")
        assert "somebody" not in file.read_text("utf-8")


def test_only_an_exercise_is_reported_where_it_is_named(
    ada: Machine, tmp_path: Path, capsys: Telling
) -> None:
    out = tmp_path / "ada.json"
    assert ada.run("report", "--exercise", "three", "-o", str(out), "--json") == 0
    told = json.loads(capsys.readouterr().out.splitlines()[-1])
    assert (told["attempts"], told["exercises"]) == (3, 1)
    assert ada.run("report", "--exercise", "scales", "-o", str(out)) == 2
    assert "“scales” is not in the list" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "status", "told"),
    [
        (["-o", "r.txt"], 2, "a report cannot be written as “.txt”"),
        (["-o", "r.json", "--page", "r.json"], 2, "one name"),
        (["-o", "r.json", "--since", "someday"], 2, "“someday” is not a date"),
        (["-o", "r.json", "--name", "x" * 101], 2, "the name has 101 letters"),
        (["-o", "nowhere/r.json"], 1, "could not be written"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(
    ada: Machine,
    words: list[str],
    status: int,
    told: str,
    tmp_path: Path,
    capsys: Telling,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert ada.run("report", *words) == status
    assert told in capsys.readouterr().err


def test_an_empty_log_has_nothing_to_report(tmp_path: Path, capsys: Telling) -> None:
    assert Machine(tmp_path / "new").run("report", "-o", str(tmp_path / "r.json")) == 1
    assert "there is nothing to report yet" in capsys.readouterr().err
    assert not (tmp_path / "r.json").exists()


def test_without_any_report_there_is_no_class(tmp_path: Path, capsys: Telling) -> None:
    (tmp_path / "a.json").write_text("{}")
    assert main(["collect", str(tmp_path / "a.json")]) == 1
    told = capsys.readouterr().err
    assert "left out: " in told and "there are no reports here" in told


def test_the_page_beside_replaces_nobodys_page(tmp_path: Path, capsys: Telling) -> None:
    student, page = Machine(tmp_path / "home"), tmp_path / "week.html"
    assert student.run("log", "add", "--what", "scales", "--minutes", "5") == 0
    page.write_bytes(b"mine")
    words = ("report", "-o", str(tmp_path / "week.json"))
    assert student.run(*words) == 1
    assert "week.html would be replaced" in capsys.readouterr().err
    assert page.read_bytes() == b"mine"
    assert not (tmp_path / "week.json").exists()
    assert student.run(*words, "--page", str(page)) == 0  # now it is named
    assert student.run(*words) == 0  # and it is ours


@pytest.mark.skipif(os.name != "posix", reason="other systems have no such pipes")
def test_what_is_no_report_is_called_what_it_is(tmp_path: Path, capsys: Telling) -> None:
    os.mkfifo(tmp_path / "pipe.json")
    assert Machine(tmp_path / "home").run("collect", str(tmp_path / "pipe.json")) == 1
    assert "this is a pipe. Name a report." in capsys.readouterr().err
    assert Machine(tmp_path / "home").run("log", "import", str(tmp_path / "pipe.json")) == 1
    assert "this is a pipe. Name a log" in capsys.readouterr().err

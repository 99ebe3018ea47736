"""Today, goals, progress and corrected editions as commands."""

import io
import json
import re
import sys
from pathlib import Path

import pytest
from lxml.etree import _Element

from companion.cli.main import main
from companion.files.folders import Folders, demo_score
from companion.practice.mastery.states import MasteryState
from companion.session.open_exercise import open_exercise
from tests.session.practised import corrected, leave_out_bars, note, opened_for_practice, tried
from tests.session.teacher_and_student import TWO_DRILLS, teacher

Telling = pytest.CaptureFixture[str]
DEMO = str(demo_score())


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Folders:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    return Folders(tmp_path / "data", tmp_path / "data" / "cache")


def told(capsys: Telling, *words: str) -> str:
    assert main(list(words)) == 0
    return capsys.readouterr().out


def read(capsys: Telling, *words: str) -> dict[str, object]:
    found: dict[str, object] = json.loads(told(capsys, *words, "--json"))
    return found


def test_an_empty_log_has_a_day_too_and_says_how_to_begin(
    folders: Folders, capsys: Telling
) -> None:
    assert "companion today --score SCORE" in told(capsys, "today")
    assert not (folders.data / "practice.db").exists()


def test_exercises_that_are_due_stand_in_the_day_for_programs_too(
    folders: Folders, capsys: Telling, tmp_path: Path
) -> None:
    assert read(capsys, "today")["due"] == []
    text = TWO_DRILLS.replace("2030-05-21", "2020-05-21")
    open_exercise(teacher(tmp_path / "teacher", text), folders)
    assert read(capsys, "today")["due"] == [
        "Exercise The ferry: overdue since 21 May 2020, assigned"
    ]


def test_a_goal_becomes_todays_new_passage(folders: Folders, capsys: Telling) -> None:
    goal = ("goal", DEMO, "--part", "viola", "--bars", "13-16", "--tempo", "69")
    assert "Viola bars 13–16, dotted quarter = 69, by 2 May 2090" in told(
        capsys, *goal, "--by", "2090-05-02"
    )
    lines = told(capsys, "today", "--minutes", "20")
    assert "dotted quarter = 41 to 49 · new: begin slowly, the goal is dotted quarter = 69" in lines


def test_goals_are_listed_moved_with_their_date_and_given_up(
    folders: Folders, capsys: Telling
) -> None:
    assert "No goals are set" in told(capsys, "goal")
    bars = (DEMO, "--part", "viola", "--bars", "13-16")
    told(capsys, "goal", *bars, "--tempo", "72.5", "--by", "2090-05-02")
    told(capsys, "log", "date", "2090-05-09", "--move", "2090-05-02")
    assert told(capsys, "goal").strip().endswith("dotted quarter = 72.5, by 9 May 2090")
    listed = read(capsys, "goal")["goals"]
    assert isinstance(listed, list)
    assert [goal["by"] for goal in listed] == ["2090-05-09"]
    assert told(capsys, "goal", *bars, "--off").startswith("removed: ")
    assert "No goals are set" in told(capsys, "goal")


def test_habits_are_shown_and_set(folders: Folders, capsys: Telling) -> None:
    assert re.search(r"visit +3 ", told(capsys, "habits"))
    told(capsys, "habits", "--visit", "4", "--day-ends", "3:30")
    found = read(capsys, "habits")
    assert (found["visit"], found["day_ends"], found["minutes"]) == (4, "03:30", 45)
    assert read(capsys, "habits", "--usual")["visit"] == 3


def test_a_calendar_is_told_when_passages_come_back(
    folders: Folders, capsys: Telling, tmp_path: Path
) -> None:
    note(folders, [tried(opened_for_practice(folders), 0, (14, 17), 60)])
    told(capsys, "log", "date", "2090-05-02", "--what", "concert")
    file = tmp_path / "due.ics"
    assert told(capsys, "log", "export", "--format", "ics", "-o", str(file)).endswith("2 dates\n")
    text = file.read_text("utf-8")
    assert "SUMMARY:Concert" in text
    assert "SUMMARY:Viola bars 13–16" in text


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("goal", DEMO), 2),
        (("goal", DEMO, "--part", "viola", "--bars", "1-2", "--off"), 2),
        (("habits", "--visit", "0"), 2),
        (("habits", "--day-ends", "noon"), 2),
        (("goal", DEMO, "--part", "oboe", "--bars", "1-2", "--tempo", "60"), 2),
        (("goal", DEMO, "--part", "viola", "--bars", "1-2", "--tempo", "soon"), 2),
        (("goal", DEMO, "--part", "viola", "--bars", "1-2", "--tempo", "60", "--by", "May"), 2),
        (("today", "--minutes", "2"), 2),
        (("today", "--skip", "9"), 2),
        (("progress", DEMO), 2),
        (("progress", DEMO, "--part", "viola", "--bars", "1-2"), 2),
        (("progress", "-o", "weeks.gif"), 2),
        (("carry", DEMO, DEMO), 2),
        (("carry", "none.xml", DEMO), 1),
    ],
)
def test_what_cannot_be_meant_is_one_sentence(
    folders: Folders, capsys: Telling, words: tuple[str, ...], status: int
) -> None:
    assert main(list(words)) == status
    assert capsys.readouterr().err.count("\n") == 1


def test_a_plan_is_skipped_moved_and_accepted(folders: Folders, capsys: Telling) -> None:
    asked = ("today", "--minutes", "30", "--score", DEMO, "--part", "viola")
    plan = read(capsys, *asked, "--move", "3", "2", "--accept")
    assert plan["is_accepted"] is True
    items = plan["items"]
    assert isinstance(items, list)
    assert [item["label"] for item in items[1:3]] == ["17–20", "13–16"]
    after = read(capsys, "today", "--skip", "2")
    assert isinstance(after["items"], list)
    assert len(after["items"]) == len(items) - 1
    more = read(capsys, "today", "--minutes", "40", *asked[3:])["items"]
    assert isinstance(more, list)
    assert sum(item.get("label") == "17–20" for item in more) == 1
    while "All skipped" not in (lines := told(capsys, "today")):
        told(capsys, "today", "--skip", "1")
    assert "companion today --afresh makes a new plan" in lines
    assert "break" not in lines


def test_the_table_of_states_is_printed(folders: Folders, capsys: Telling) -> None:
    lines = told(capsys, "progress", "--states")
    assert all(state.value in lines for state in MasteryState)
    assert "Only a passage that holds, with the click or without, goes down." in lines


def test_a_passage_tells_why_it_stands_so(folders: Folders, capsys: Telling) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, day, (14, 17), 60 + day) for day in range(3)])
    asked = ("progress", DEMO, "--part", "viola", "--bars", "13-16")
    lines = told(capsys, *asked)
    assert "No goal is set" in lines
    assert "○" in lines
    record = read(capsys, *asked)
    assert isinstance(record["days"], list)
    assert [day["tempo"] for day in record["days"]] == ["60", "61", "62"]


def test_progress_is_written_as_pictures_and_a_page(
    folders: Folders, capsys: Telling, tmp_path: Path
) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60)])
    part = ("progress", DEMO, "--part", "viola")
    for name, words in (
        ("weeks.svg", ("progress",)),
        ("part.svg", part),
        ("passage.svg", (*part, "--bars", "13-16")),
    ):
        told(capsys, *words, "-o", str(tmp_path / name))
        assert (tmp_path / name).read_text("utf-8").startswith("<svg")
    told(capsys, "progress", "--week", "2026-03-02", "-o", str(tmp_path / "week.md"))
    assert "2 March 2026" in (tmp_path / "week.md").read_text("utf-8")


def test_a_corrected_edition_is_carried_over(
    folders: Folders, capsys: Telling, tmp_path: Path
) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 60), tried(open_score, 0, (3, 4), 60)])
    second = str(corrected(tmp_path / "second.musicxml", leave_out_bars))
    lines = told(capsys, "carry", DEMO, second)
    assert "Viola: 59 of 61 bars found" in lines
    assert "not found; it stays with the earlier edition" in lines
    record = read(capsys, "carry", DEMO, second)
    passages = record["passages"]
    assert isinstance(passages, list)
    assert passages[1]["to"]["first"] == 12


def other_octaves(root: _Element) -> None:
    for octave in root.iter("octave"):
        octave.text = str(int(octave.text or 0) + 1)


def test_a_wrong_edition_is_not_carried_unless_one_insists_and_is_taken_back(
    folders: Folders, capsys: Telling, tmp_path: Path
) -> None:
    note(folders, [tried(opened_for_practice(folders), 0, (14, 17), 60)])
    before = told(capsys, "progress", DEMO, "--part", "viola")
    wrong = str(corrected(tmp_path / "wrong.musicxml", other_octaves))
    for json_or_not in ((), ("--json",)):
        assert main(["carry", DEMO, wrong, *json_or_not]) == 2
        assert "0 of 1 passage are found" in capsys.readouterr().err
    assert "No edition" in told(capsys, "carry")
    assert "Take it back" in told(capsys, "carry", DEMO, wrong, "--anyway")
    assert told(capsys, "progress", DEMO, "--part", "viola") == before, "it stays where it was"
    assert wrong in told(capsys, "carry")
    assert "Taken back" in told(capsys, "carry", "--undo", DEMO)
    assert read(capsys, "carry", "--json") == {"editions": []}
    assert main(["carry", "--undo"]) == 2


def test_on_a_terminal_it_asks_when_little_is_found(
    folders: Folders, capsys: Telling, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    note(folders, [tried(opened_for_practice(folders), 0, (14, 17), 60)])
    wrong = str(corrected(tmp_path / "wrong.musicxml", other_octaves))
    for answer, status in (("n\n", 2), ("", 2), ("y\n", 0)):
        monkeypatch.setattr(sys, "stdin", Terminal(answer))
        assert main(["carry", DEMO, wrong]) == status
    assert wrong in told(capsys, "carry")


def test_a_backup_says_what_is_not_in_it(folders: Folders, capsys: Telling, tmp_path: Path) -> None:
    note(folders, [tried(opened_for_practice(folders), 0, (14, 17), 60)])
    assert "corrected editions" not in told(capsys, "log", "backup", str(tmp_path / "1.db"))
    second = str(corrected(tmp_path / "second.musicxml", leave_out_bars))
    told(capsys, "carry", DEMO, second)
    assert "corrected editions" in told(capsys, "log", "backup", str(tmp_path / "2.db"))

"""`companion log add`, `correct`, `export`, `import` and the others, as a person types them."""

import csv
import json
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders, demo_score
from companion.practice.attempt import Attempt, Outcome
from tests.journal.noting import note_attempt

icalendar = pytest.importorskip("icalendar")
Run = Callable[..., str]


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    monkeypatch.delenv("COMPANION_PLAYER", raising=False)
    return tmp_path / "data"


@pytest.fixture
def log(data: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Runs `companion log …` and hands back what it said."""

    def run(*words: str, status: int = 0) -> str:
        assert main(["log", *words]) == status
        told = capsys.readouterr()
        assert bool(told.err) == bool(status), told.err
        return told.err if status else told.out

    return run


@pytest.fixture
def attempt(data: Path) -> Attempt:
    """One attempt, in the log."""
    noted = Attempt(
        score_title="Study",
        score_digest="5e" * 16,
        score_path="/scores/study.musicxml",
        part_id="P4",
        part_name="Cello",
        first_bar=14,
        last_bar=21,
        bars_label="13–20",
        tempo=Fraction(145, 2),
        beat="dotted quarter",
        outcome=Outcome.SHAKY,
        at=datetime(2026, 3, 1, 18, 5, tzinfo=timezone(timedelta(hours=1))),
    )
    note_attempt(Folders(data, data / "cache"), noted)
    return noted


def test_scales_are_added_and_stand_among_the_attempts(log: Run, attempt: Attempt) -> None:
    said = log("add", "--what", "scal", "--minutes", "20", "--note", "thirds", "--at", "2026-02-03")
    assert said == "noted: 2026-02-03 12:00 · scales · 20 minutes · thirds\n"
    lines = log().splitlines()
    assert [line.split(" · ")[1] for line in lines] == ["Study", "scales"]
    assert len(log("--part", "cello").splitlines()) == 1
    assert len(log("--last", "1").splitlines()) == 1
    found = json.loads(log("--json"))
    assert [one["what"] for one in found["entries"]] == ["scales"]
    assert len(found["attempts"]) == 1


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("--what", "tea", "--minutes", "20"), "nothing the log has a word for"),
        (("--what", "scales", "--minutes", "-3"), "not a number of minutes"),
        (("--what", "scales", "--minutes", "nan"), "not a number of minutes"),
        (("--what", "scales", "--minutes", "1441"), "not a number of minutes"),
        (("--what", "scales", "--minutes", "5", "--at", "25:00"), "is not a time"),
        (("--what", "scales", "--minutes", "5", "--at", "2026-02-30"), "is not a time"),
    ],
)
def test_what_cannot_be_meant_is_not_added(
    log: Run, words: tuple[str, ...], complaint: str
) -> None:
    assert complaint in log("add", *words, status=2)
    assert "Nothing is in the log" in log()


AWAY = (
    *("add", "--score", str(demo_score()), "--part", "viola", "--bars", "B-B+7"),
    *("--tempo", "60", "--outcome", "held"),
)


def test_a_passage_practised_away_from_the_screen_is_added(
    log: Run, capsys: pytest.CaptureFixture[str]
) -> None:
    said = log(*AWAY, "--at", "2026-03-01 18:30", "--minutes", "12", "--note", "in the park")
    assert said.startswith("noted: 2026-03-01 18:30 · ")
    assert "Viola" in said
    assert "dotted quarter = 60 · no click · 12 minutes · held · in the park" in said
    assert "· beat · once · held" in log(*AWAY, "--click", "--at", "2026-03-02")
    long = log(*AWAY, "--click", "--at", "2026-02-02", "--minutes", "10")
    assert "· beat · once, 10 minutes · held" in long
    _, first, second = json.loads(log("--json"))["attempts"][::-1]
    assert (first["first"], first["last"], first["seconds"]) == (14, 21, 720.0)
    # Eight bars of 6/8 have sixteen beats: at 60 a minute sixteen seconds.
    assert second["seconds"] == 16.0
    assert main(["progress", str(demo_score()), "--part", "viola"]) == 0
    assert "bars 13–20: " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ((*AWAY[:-2], "--minutes", "5"), "needs --outcome too"),
        ((*AWAY, "--what", "scales"), "has no --what"),
        (("add", "--part", "viola", "--what", "scales", "--minutes", "5"), "no score is named"),
        (("add", "--what", "scales"), "needs --what and --minutes"),
        ((*AWAY, "--at", "tomorrow"), "in the future"),
        ((*AWAY, "--at", "2126-03-01 18:30"), "in the future"),
        ((*AWAY, "--tempo", "0"), "tempo"),
        ((*AWAY, "--bars", "900"), "900"),
    ],
)
def test_a_passage_that_cannot_be_meant_is_not_added(
    log: Run, words: tuple[str, ...], complaint: str
) -> None:
    assert complaint in log(*words, status=2)
    assert "Nothing is in the log" in log()


def test_an_attempt_is_corrected_by_the_beginning_of_its_id(log: Run, attempt: Attempt) -> None:
    assert log("--ids").startswith(f"{attempt.id[:8]} · 2026-03-01 18:05")
    said = log("correct", attempt.id[:6], "--outcome", "held", "--note", "late entry")
    assert said.endswith("· held · late entry\n")
    assert log().endswith("· held · late entry\n")
    withdrawn, back = log("correct", attempt.id[:6], "--withdraw").splitlines()
    assert withdrawn.startswith("withdrawn: 2026-03-01 18:05")
    assert back.endswith(f"companion log correct {attempt.id[:8]} --restore")
    assert "Nothing is in the log" in log()
    assert log("correct", attempt.id, "--restore").startswith("now: 2026-03-01 18:05")
    assert log().endswith("· held · late entry\n")
    assert "only the outcome" in log("correct", attempt.id, "--minutes", "5", status=2)
    assert "no entry's id begins" in log("correct", "ffff0000", "--note", "x", status=2)
    assert "not the id" in log("correct", "xyz", "--note", "x", status=2)
    assert "not an outcome" in log("correct", attempt.id, "--outcome", "perfect", status=2)


def test_an_entry_is_corrected_and_taken_back(log: Run) -> None:
    log("add", "--what", "lesson", "--minutes", "45", "--at", "2026-03-01 10:00")
    key = log("--ids")[:8]
    assert "scales · 30 minutes" in log("correct", key, "--what", "scales", "--minutes", "30")
    assert "2026-03-02 18:30" in log("correct", key, "--at", "2026-03-02 18:30")
    assert "in the future" in log("correct", key, "--at", "2999-01-01 10:00", status=2)
    assert "no outcome" in log("correct", key, "--outcome", "held", status=2)
    assert log("correct", key, "--withdraw").startswith("withdrawn: ")
    assert "Nothing is in the log" in log()


def test_the_hour_the_day_ends_is_set_and_shows_in_the_table(log: Run, tmp_path: Path) -> None:
    log("add", "--what", "other", "--minutes", "10", "--at", "2026-03-02 03:45")
    assert log("day") == "A day of practice ends at 04:00.\n"
    assert log("day", "3:30") == "A day of practice ends at 03:30.\n"
    assert "not an hour" in log("day", "noon", status=2)
    table = tmp_path / "log.csv"
    assert log("export", "--format", "csv", "-o", str(table)) == f"Written: {table}: 1 line\n"
    with table.open(newline="", encoding="utf-8") as file:
        assert [line["day"] for line in csv.DictReader(file)] == ["2026-03-02"]


def test_two_machines_are_joined_by_a_file(
    log: Run, attempt: Attempt, data: Path, tmp_path: Path
) -> None:
    log("add", "--what", "scales", "--minutes", "20")
    log("correct", attempt.id, "--outcome", "held")
    file, other = str(tmp_path / "log.json"), str(tmp_path / "other")
    assert log("export", "--format", "json", "-o", file) == f"Written: {file}: 2 entries\n"
    said = log("import", file, "--data-dir", other)
    assert said == "new: attempts 1, corrections 1, free entries 1\n"
    assert log("import", file, "--data-dir", other) == "It has nothing new.\n"
    assert log("--data-dir", other) == log()
    assert log("check", "--data-dir", other) == "The log has no faults.\n"


def test_what_cannot_be_imported_changes_nothing(
    log: Run, attempt: Attempt, data: Path, tmp_path: Path
) -> None:
    before = log()
    wrong = tmp_path / "wrong.json"
    wrong.write_text('{"form": "practice log of companion", "version": 1')
    assert "nothing was taken in" in log("import", str(wrong), status=1)
    assert "no such file" in log("import", str(tmp_path / "none.json"), status=1)
    assert "This is a backup or a log" in log("import", str(data / "practice.db"), status=1)
    log("backup", str(tmp_path / "backup.db"))
    assert "This is a backup or a log" in log("import", str(tmp_path / "backup.db"), status=1)
    assert log() == before


def test_an_export_never_takes_the_place_of_a_log(log: Run, attempt: Attempt, data: Path) -> None:
    before = log()
    target = str(data / "practice.db")
    assert "Name another file" in log("export", "--format", "csv", "-o", target, status=2)
    assert log() == before


def test_a_backup_is_made_and_comes_back(
    log: Run, attempt: Attempt, data: Path, tmp_path: Path
) -> None:
    backup = str(tmp_path / "backup.db")
    assert log("backup", backup) == f"Written: {backup}: a copy of the whole log\n"
    log("add", "--what", "scales", "--minutes", "20")
    said = log("restore", backup)
    assert "the earlier log is kept as" in said
    assert Path(said.split(" kept as ")[1].strip()).parent == data
    assert len(log().splitlines()) == 1
    assert log("restore", backup, "--data-dir", str(tmp_path / "new")) == "restored\n"
    assert "no practice log yet" in log(
        "backup", backup, "--data-dir", str(tmp_path / "none"), status=1
    )


def test_a_damaged_log_fails_the_check(log: Run, attempt: Attempt, data: Path) -> None:
    path = data / "practice.db"
    content = path.read_bytes()
    year = content.rfind(b"2026-03-01T17:05")  # stands in the row first, in an index last
    path.write_bytes(content[:year] + b"1926" + content[year + 4 :])
    assert main(["log", "check"]) == 1


def test_what_followed_without_a_break_is_told_as_one(log: Run) -> None:
    for ended, minutes in (("18:20", "20"), ("18:50", "25"), ("20:00", "10")):
        log("add", "--what", "other", "--minutes", minutes, "--at", f"2026-03-01 {ended}")
    assert log("--sessions").splitlines() == [
        "2026-03-01 19:50–20:00 · 10 minutes · 1 entry",
        "2026-03-01 18:00–18:50 · 45 minutes · 2 entries",
    ]
    [last] = json.loads(log("--sessions", "--json", "--last", "1"))["sessions"]
    assert (last["seconds"], last["entries"]) == (600.0, 1)


def test_concerts_and_lessons_are_set_moved_and_shown_to_a_calendar(
    log: Run, tmp_path: Path
) -> None:
    assert log("date", "2026-05-02", "--what", "concert", "--name", "Spring; indoors") == (
        "2026-05-02 · concert · Spring; indoors\n"
    )
    log("date", "2026-04-01", "--what", "lesson")
    key, *_ = log("date").splitlines()[1].split(" · ")
    log("date", "2026-05-09", "--move", key)
    log("date", "--move", "2026-04-01", "--off")

    file = tmp_path / "due.ics"
    assert log("export", "--format", "ics", "-o", str(file)) == f"Written: {file}: 1 date\n"
    [event] = icalendar.Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    assert str(event["SUMMARY"]) == "Concert: Spring; indoors"
    assert event.decoded("DTSTART").isoformat() == "2026-05-09"

    assert "Add --what" in log("date", "2026-05-02", status=2)
    assert "no date named" in log("date", "--move", "2031-01-01", "--off", status=2)
    assert "is not a date" in log("date", "someday", "--what", "lesson", status=2)


def test_each_player_has_a_log_of_her_own(
    log: Run, attempt: Attempt, capsys: pytest.CaptureFixture[str]
) -> None:
    def as_player(name: str, *words: str) -> tuple[str, str]:
        assert main(["--player", name, "log", *words]) == 0
        told = capsys.readouterr()
        return told.out, told.err

    assert "Nothing is in the log" in as_player("Ana", "--last", "3")[0]
    as_player("Ana", "add", "--what", "scales", "--minutes", "5")
    assert len(as_player("ANA")[0].splitlines()) == 1
    assert "Study" in log()
    out, err = as_player("Anna")
    assert "Nothing is in the log" in out
    assert err == "companion: anna is new here. Players so far: ana.\n"
    assert "cannot be the name of a player" in log("--player", "../ana", status=2)


def test_a_player_may_be_called_like_a_command(log: Run) -> None:
    assert main(["--player", "map", "log", "add", "--what", "scales", "--minutes", "5"]) == 0

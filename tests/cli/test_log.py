"""`companion log`: lines for people, JSON for programs, and nothing wrong with an empty one."""

import json
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from companion.cli.main import main
from companion.files.folders import Folders, demo_score
from companion.practice.attempt import Attempt, Outcome
from companion.score.cache import digest
from tests.journal.noting import note_attempt

Telling = pytest.CaptureFixture[str]


@pytest.fixture
def app_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Folders:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    return Folders(tmp_path / "data", tmp_path / "data" / "cache")


def practised(minute: int, part: str = "Cello", score: str = "5e" * 16) -> Attempt:
    return Attempt(
        score_title="Study",
        score_digest=score,
        score_path="/scores/study.musicxml",
        part_id="P4" if part == "Cello" else "P3",
        part_name=part,
        first_bar=14,
        last_bar=21,
        bars_label="13–20",
        tempo=Fraction(145, 2),
        beat="dotted quarter",
        outcome=Outcome.SHAKY,
        layers=("mine", "beat"),
        at=datetime(2026, 3, 1, 18, minute, tzinfo=timezone(timedelta(hours=1))),
    )


def found(capsys: Telling, *words: str) -> list[dict[str, object]]:
    assert main(["log", "--json", *words]) == 0
    told: list[dict[str, object]] = json.loads(capsys.readouterr().out)["attempts"]
    return told


def test_a_log_that_is_not_there_is_empty(app_folders: Folders, capsys: Telling) -> None:
    assert found(capsys) == []
    assert main(["log"]) == 0
    assert "Begin with companion demo" in capsys.readouterr().out
    assert not app_folders.data.exists()


def test_a_line_tells_when_what_and_how_it_went(app_folders: Folders, capsys: Telling) -> None:
    note_attempt(app_folders, practised(5))
    note_attempt(app_folders, practised(9, "Viola"))
    assert main(["log"]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "2026-03-01 18:09 · Study · Viola · bars 13–20 · "
        "dotted quarter = 72.5 · mine + beat "
        "· once · shaky",
        "2026-03-01 18:05 · Study · Cello · bars 13–20 · "
        "dotted quarter = 72.5 · mine + beat "
        "· once · shaky",
    ]


def test_programs_get_the_tempo_exactly(app_folders: Folders, capsys: Telling) -> None:
    attempt = practised(5)
    note_attempt(app_folders, attempt)
    (told,) = found(capsys)
    assert told["tempo"] == "145/2"
    assert told["beat"] == "dotted quarter"
    assert told["at"] == "2026-03-01T18:05:00+01:00"
    assert told["part"] == {"id": "P4", "name": "Cello"}
    assert (told["first"], told["last"], told["printed"]) == (14, 21, "13–20")
    assert told["outcome"] == "shaky"
    assert told["id"] == attempt.id


def test_the_log_is_narrowed_by_part_score_and_number(
    app_folders: Folders, capsys: Telling
) -> None:
    demo = digest(demo_score().read_bytes())
    for minute, part in enumerate(("Cello", "Viola", "Cello", "Viola")):
        note_attempt(app_folders, practised(minute, part, demo if minute < 2 else "5e" * 16))
    assert len(found(capsys, "--part", "viola")) == 2
    assert len(found(capsys, "--score", str(demo_score()))) == 2
    assert len(found(capsys, "--part", "viola", "--score", str(demo_score()))) == 1
    assert len(found(capsys, "--last", "3")) == 3


def test_a_score_that_is_not_there_is_told(app_folders: Folders, capsys: Telling) -> None:
    assert main(["log", "--score", "none.xml"]) == 1
    assert "there is no such file" in capsys.readouterr().err


def test_asking_for_no_attempts_is_refused(app_folders: Folders, capsys: Telling) -> None:
    assert main(["log", "--last", "0"]) == 2
    assert "Choose 1 or more" in capsys.readouterr().err

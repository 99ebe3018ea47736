"""The log as sessions use it: on disk when noted, found again by part, score and number."""

from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts, practised_scores
from companion.practice.attempt import Attempt, Outcome
from companion.wording.log_sentences import attempt_told
from tests.journal.noting import note_attempt

Practised = Callable[..., Attempt]


@pytest.fixture
def app_folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path / "data", tmp_path / "cache")


def practised(minute: int, part: str = "Cello", digest: str = "5e", bars: int = 8) -> Attempt:
    return Attempt(
        score_title=f"Study {digest}",
        score_digest=digest * 16,
        score_path=f"/scores/{digest}.musicxml",
        part_id={"Cello": "P4", "Viola": "P3", "Violin I": "P1", "Violin II": "P2"}[part],
        part_name=part,
        first_bar=1,
        last_bar=bars,
        bars_label=f"1–{bars}" if bars > 1 else "1",
        tempo=Fraction(60),
        beat="quarter",
        outcome=Outcome.HELD,
        at=datetime(2026, 3, 1, 18, minute, tzinfo=timezone(timedelta(hours=1))),
    )


def test_an_attempt_is_there_when_it_was_noted(app_folders: Folders) -> None:
    attempt = practised(0)
    note_attempt(app_folders, attempt)
    assert logged_attempts(app_folders) == [attempt]


def test_looking_begins_no_log(app_folders: Folders) -> None:
    assert logged_attempts(app_folders) == []
    assert practised_scores(app_folders) == []
    assert not app_folders.data.exists()


def test_an_attempt_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    in_the_way = tmp_path / "data"
    in_the_way.write_text("a file, not a folder")
    with pytest.raises(CompanionError):
        note_attempt(Folders(in_the_way, tmp_path / "cache"), practised(0))


def test_a_part_is_found_by_the_beginning_of_its_name_or_its_id(app_folders: Folders) -> None:
    for minute, part in enumerate(("Cello", "Viola", "Violin I", "Violin II")):
        note_attempt(app_folders, practised(minute, part))
    assert [found.part_name for found in logged_attempts(app_folders, part="cello")] == ["Cello"]
    assert [found.part_name for found in logged_attempts(app_folders, part="P3")] == ["Viola"]
    assert len(logged_attempts(app_folders, part="violin")) == 2


def test_the_last_ones_of_a_part_are_counted_among_its_own(app_folders: Folders) -> None:
    for minute in range(6):
        note_attempt(app_folders, practised(minute, "Cello" if minute % 2 else "Viola"))
    found = logged_attempts(app_folders, part="Viola", last=2)
    assert [attempt.at.minute for attempt in found] == [4, 2]


def test_each_score_is_listed_once_by_when_it_was_last_practised(app_folders: Folders) -> None:
    for minute, digest in enumerate(("aa", "bb", "aa", "cc")):
        note_attempt(app_folders, practised(minute, digest=digest))
    assert [score.title for score in practised_scores(app_folders)] == [
        "Study cc",
        "Study aa",
        "Study bb",
    ]
    assert [score.title for score in practised_scores(app_folders, most=1)] == ["Study cc"]


def test_an_attempt_is_told_in_one_line() -> None:
    assert attempt_told(practised(5)) == (
        "2026-03-01 18:05 · Study 5e · Cello · bars 1–8 · quarter = 60 · no click · once · held"
    )
    assert "· bar 1 ·" in attempt_told(practised(5, bars=1))

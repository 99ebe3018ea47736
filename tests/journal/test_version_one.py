"""A log in the first form opens for as long as the program lives.

`fixtures/version_1.db` was written by the program itself when that was the
newest form: the two attempts below were noted, then the first was corrected.
It is never made again.
"""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from companion.journal import schema
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome
from companion.practice.revision import CorrectedWords

KEPT = Path(__file__).with_name("fixtures") / "version_1.db"

FIRST = Attempt(
    id="6f1c2a52-5d0b-4f2e-9c11-0a4b7d3e8f21",
    at=datetime(2026, 3, 1, 23, 50, 0, 125, tzinfo=timezone(timedelta(hours=-3, minutes=-30))),
    score_title="Étude für zwei Taktarten",
    score_digest="5e" * 32,
    score_path="/scores/étude.musicxml",
    part_id="P2",
    part_name="Violin II",
    first_bar=225,
    last_bar=230,
    bars_label="II:225–230",
    tempo=Fraction(145, 2),
    beat="dotted quarter",
    layers=("click", "Viola", "Violoncello"),
    repetitions=4,
    seconds=93.75,
    outcome=Outcome.SECURE,
    note="two against three: “easy”",
)
SECOND = replace(
    FIRST,
    id="0b9d6c1e-7a55-4b7c-8a43-d2f6e0c4b918",
    at=datetime(2026, 3, 2, 8, 0, tzinfo=UTC),
    tempo=Fraction(80),
    layers=(),
    repetitions=0,
    seconds=0.0,
    outcome=Outcome.FELL_APART,
    note="",
)
CORRECTED_AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
CORRECTED = replace(FIRST, outcome=Outcome.HELD)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(KEPT, tmp_path / "practice.db")
    return tmp_path


def test_the_kept_file_is_in_the_first_form() -> None:
    address = f"{KEPT.as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(address, uri=True)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)
        assert raw.execute("SELECT count(*) FROM attempt").fetchone() == (2,)


def test_a_log_in_the_first_form_still_opens_with_all_it_held(folder: Path) -> None:
    with Log.open(folder) as log:
        assert log.attempts() == [SECOND, CORRECTED]
        [before] = log.corrections(FIRST.id)
        assert before.revision.at == CORRECTED_AT
        assert before.earlier == CorrectedWords(FIRST.outcome, FIRST.note)
        assert before.later == CorrectedWords(CORRECTED.outcome, CORRECTED.note)
        assert schema.version(log._connection) == len(schema.STEPS)
        assert log.check() == []


def test_practice_goes_on_in_a_log_in_the_first_form(folder: Path) -> None:
    third = replace(SECOND, id="e2f7b0aa-3c64-4d19-b5d8-91c0f3a6d7e4", outcome=Outcome.SHAKY)
    with Log.open(folder) as log:
        log.note(third)
        last = log.last_tempo(third.score_digest, "P2", 225, 230)
        assert last is not None
        assert (last.tempo, last.outcome) == (Fraction(80), Outcome.SHAKY)
        assert len(log.attempts()) == 3

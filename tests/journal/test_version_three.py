"""A log in the third form opens for as long as the program lives, and what was heard is kept.

`fixtures/version_3.db` was written by the program itself when that was the newest form, from
what stands below. It is never made again.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.errors import CompanionError
from companion.journal import schema
from companion.journal.fields import ATTEMPT
from companion.journal.json_document import record_of, written
from companion.journal.log import Log
from companion.journal.record import Corrected, Merged, Record
from companion.practice.attempt import Attempt, Heard, HeardBy, HeardSide, Outcome

KEPT = Path(__file__).with_name("fixtures") / "version_3.db"
TEN = datetime(2026, 3, 2, 10, 0, tzinfo=UTC)

SILENT_BARS = Attempt(
    id="6f1c2a52-5d0b-4f2e-9c11-0a4b7d3e8f21",
    at=TEN,
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
    layers=("beat", "theirs"),
    silences="every 4 bars, theirs only",
    accompaniment=("Violoncello", "drone A3"),
    repetitions=4,
    seconds=93.75,
    outcome=Outcome.SECURE,
    note="“easy”",
    judgement='{"early": [1, 2.5]}',
)
HEARD = Heard(
    Outcome.SHAKY,
    HeardBy.TAKE,
    (HeardSide("on the beat", 0.0, 11.5, 64), HeardSide("off the beat", 31.2, 14.0, 48)),
    missed=2,
    added=1,
)
LISTENED = replace(
    SILENT_BARS, id="0b9d6c1e-7a55-4b7c-8a43-d2f6e0c4b918", judgement=None, heard=HEARD
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(KEPT, tmp_path / "practice.db")
    return tmp_path


def test_a_log_in_the_third_form_still_opens_with_all_it_held(folder: Path) -> None:
    with closing(sqlite3.connect(f"{KEPT.as_uri()}?mode=ro&immutable=1", uri=True)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (3,)
    with Log.open(folder) as log:
        assert log.attempts() == [SILENT_BARS]
        assert SILENT_BARS.heard is None
        assert schema.version(log._connection) == len(schema.STEPS)
        assert log.check() == []


def test_what_was_heard_stays_beside_the_word_that_is_corrected(folder: Path) -> None:
    with Log.open(folder) as log:
        log.note(LISTENED)
        log.correct(LISTENED.id, outcome=Outcome.HELD, at=TEN)
        (kept,) = (one for one in log.attempts() if one.id == LISTENED.id)
        assert (kept.outcome, kept.heard) == (Outcome.HELD, HEARD)
        assert kept.counts_as is Outcome.SHAKY
        assert log.check() == []


def test_it_goes_out_and_comes_in_again(folder: Path, tmp_path: Path) -> None:
    with Log.open(folder) as log:
        log.note(LISTENED)
        content = b"".join(written(log.gather(), TEN))
        record = record_of(content, "log.json")
        assert record == log.gather()
        assert log.merge(record) == Merged()
    with Log.open(tmp_path / "other") as other:
        assert other.merge(record).attempts == 2
        assert {one.id: one.heard for one in other.attempts()} == {
            SILENT_BARS.id: None,
            LISTENED.id: HEARD,
        }
    (told,) = (one for one in json.loads(content)["attempts"] if one["id"] == LISTENED.id)
    assert told["heard"] == {
        "outcome": "shaky",
        "by": "take",
        "sides": [
            {"name": "on the beat", "mean_ms": 0.0, "spread_ms": 11.5, "notes": 64},
            {"name": "off the beat", "mean_ms": 31.2, "spread_ms": 14.0, "notes": 48},
        ],
        "missed": 2,
        "added": 1,
    }


SIDE = st.builds(
    HeardSide, st.text(max_size=12), st.floats(-500, 500), st.floats(0, 500), st.integers(0, 999)
)


@given(
    st.builds(
        Heard,
        st.sampled_from(Outcome),
        st.sampled_from(HeardBy),
        st.lists(SIDE, max_size=3).map(tuple),
    )
)
def test_whatever_was_heard_is_the_same_in_a_row_and_in_json(heard: Heard) -> None:
    one = replace(LISTENED, heard=heard)
    assert ATTEMPT.from_json(ATTEMPT.to_json(one)) == one
    assert record_of(b"".join(written(Record((Corrected(one),)), TEN)), "").attempts == (
        Corrected(one),
    )
    row = ATTEMPT.to_row(one)
    assert ATTEMPT.from_row(tuple(row.values()), Path()) == one


def test_an_impossible_hearing_is_refused() -> None:
    nan = HeardSide("x", float("nan"), 0, 1)
    for bad in (replace(HEARD, missed=-1), replace(HEARD, sides=(nan,))):
        with pytest.raises(CompanionError, match="what was heard"):
            replace(LISTENED, heard=bad)

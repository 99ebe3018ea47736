"""A log in the second form opens for as long as the program lives.

`fixtures/version_2.db` and `fixtures/export_version_1.json` were written by the program
itself when those were the newest forms, from what stands below. They are never made again.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest

from companion.journal import schema
from companion.journal.json_document import record_of, written
from companion.journal.log import Log
from companion.journal.record import Merged, Record
from companion.practice.attempt import Attempt, Bars, Outcome, bars_of
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import CorrectedWords, Revision
from companion.practice.timer import Timer

FIXTURES = Path(__file__).with_name("fixtures")
KEPT = FIXTURES / "version_2.db"
EXPORT = FIXTURES / "export_version_1.json"

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
    judgement='{"early": [1, 2.5]}',
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
    judgement=None,
)
NINE, TEN = (datetime(2026, 3, 2, hour, 0, tzinfo=UTC) for hour in (9, 10))
SCALES = LogEntry(
    id="d5b0b4be-32cf-4f0e-8c52-36d4a1f6e0aa",
    what=Activity.SCALES,
    seconds=1200,
    note="in thirds",
    at=NINE,
    revision=Revision(NINE, "7d2f6a08-51a7-4cfb-9d0f-2c4a5f0e6b11"),
)
SHORTER = replace(
    SCALES, seconds=900.0, revision=Revision(TEN, "a3f7c1de-8c39-4a27-b4d1-5f6e7d8c9b22")
)
CONCERT = Occasion(
    id="c81d4e2e-bcf2-41e6-869b-7df92533d2db",
    day=date(2026, 5, 2),
    kind=OccasionKind.CONCERT,
    name="Spring",
    revision=Revision(NINE, "f47ac10b-58cc-4372-a567-0e02b2c3d479"),
)
GOAL = Goal(
    bars=Bars("5e" * 32, "P2", 225, 230),
    score_title=FIRST.score_title,
    part_name="Violin II",
    bars_label="II:225–230",
    tempo=Fraction(88),
    beat="dotted quarter",
    occasion=CONCERT.id,
    revision=Revision(TEN, "16fd2706-8baf-433b-82eb-8c7fada847da"),
)
TIMER = Timer(
    id="9b2c3d4e-5f60-4172-8394-a5b6c7d8e9f0",
    what=Activity.LESSON,
    note="bow",
    started=TEN,
    last_sign=TEN + timedelta(minutes=5),
    signs_every=20.0,
)


def write(log: Log) -> None:
    """All that stands above, in the order in which it was said."""
    log.note(FIRST)
    log.note(SECOND)
    log.correct(FIRST.id, outcome=Outcome.HELD, at=NINE)
    log.correct(FIRST.id, note="rushed", at=TEN)
    log.entries.add(SCALES)
    log.entries.add(SHORTER)
    log.occasions.add(CONCERT)
    log.goals.add(GOAL)
    log.timers.start(TIMER)
    log.set_day_ends(time(3, 30))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(KEPT, tmp_path / "practice.db")
    return tmp_path


def test_the_kept_file_is_in_the_second_form() -> None:
    address = f"{KEPT.as_uri()}?mode=ro&immutable=1"
    with closing(sqlite3.connect(address, uri=True)) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (2,)
        assert raw.execute("SELECT count(*) FROM attempt").fetchone() == (2,)


def test_a_log_in_the_second_form_still_opens_with_all_it_held(folder: Path) -> None:
    with Log.open(folder) as log:
        assert log.attempts() == [SECOND, replace(FIRST, outcome=Outcome.HELD, note="rushed")]
        assert [one.earlier for one in log.corrections(FIRST.id)] == [
            CorrectedWords(Outcome.SECURE, FIRST.note),
            CorrectedWords(Outcome.HELD, FIRST.note),
        ]
        assert log.entries.current() == [SHORTER]
        assert log.entries.history(SCALES.id) == [SCALES, SHORTER]
        assert log.goals.current() == [GOAL]
        assert log.occasions.current() == [CONCERT]
        assert log.timers.running() == TIMER
        assert log.day_ends == time(3, 30)
        assert [(p.bars, p.tries) for p in log.passages()] == [(bars_of(FIRST), 2)]
        assert schema.version(log._connection) == len(schema.STEPS)
        assert log.check() == []


def test_practice_goes_on_in_a_log_in_the_second_form(folder: Path) -> None:
    third = replace(SECOND, id="e2f7b0aa-3c64-4d19-b5d8-91c0f3a6d7e4", outcome=Outcome.SHAKY)
    with Log.open(folder) as log:
        log.note(third)
        log.timers.drop(TIMER.id)
        log.entries.add(replace(SCALES, note="slowly", revision=Revision()))
        assert log.passages()[0].tries == 3
        assert log.check() == []


def test_an_export_of_the_first_version_is_still_read(folder: Path) -> None:
    record = record_of(EXPORT.read_bytes(), EXPORT.name)
    with Log.read_only(folder) as log:
        assert record == log.gather()
    assert record != Record()


TOLD_AS_LAYERS = replace(FIRST, layers=("beat", "silent bars", "mine", "drone", "rhythm:Cello"))
IN_FIELDS = replace(
    FIRST,
    layers=("beat", "mine", "rhythm:Cello"),
    silences="silent bars",
    accompaniment=("drone",),
)


@pytest.fixture
def told_as_layers(folder: Path) -> Path:
    """The kept log with silences and a drone among the layers of its first attempt."""
    with closing(sqlite3.connect(folder / "practice.db")) as raw, raw:
        layers = json.dumps(TOLD_AS_LAYERS.layers)
        raw.execute("UPDATE attempt SET layers = ? WHERE id = ?", (layers, FIRST.id))
    return folder


@pytest.mark.parametrize("look", [Log.open, Log.read_only])
def test_silences_and_a_drone_among_the_layers_become_fields(
    told_as_layers: Path, look: Callable[[Path], Log]
) -> None:
    with look(told_as_layers) as log:
        second, first = log.attempts()
        assert first == replace(IN_FIELDS, outcome=Outcome.HELD, note="rushed")
        assert second == SECOND
        assert log.check() == []


def test_the_same_attempt_in_an_export_of_before_is_the_same_attempt(told_as_layers: Path) -> None:
    told = json.loads(EXPORT.read_bytes())
    (first,) = (one for one in told["attempts"] if one["id"] == FIRST.id)
    first["layers"] = TOLD_AS_LAYERS.layers
    with Log.open(told_as_layers) as log:
        record = record_of(json.dumps(told).encode(), EXPORT.name)
        assert record == log.gather()
        assert log.merge(record) == Merged()


def test_silences_and_accompaniment_go_out_and_come_in_again(folder: Path) -> None:
    third = replace(
        SECOND,
        id="e2f7b0aa-3c64-4d19-b5d8-91c0f3a6d7e4",
        silences="every 4 bars, theirs only",
        accompaniment=("Violoncello", "drone A3"),
    )
    with Log.open(folder) as log:
        log.note(third)
        assert log.attempts_at(bars_of(third))[0] == third
        record = record_of(b"".join(written(log.gather(), NINE)), "log.json")
        assert record == log.gather()
    assert third in [one.attempt for one in record.attempts]

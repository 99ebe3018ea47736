from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Outcome

Noting = Callable[..., Attempt]

OFFSETS = st.integers(-86399, 86399).map(lambda s: timezone(timedelta(seconds=s)))
MOMENTS = st.datetimes(datetime(1900, 1, 2), datetime(2199, 12, 30), timezones=OFFSETS)
TEXT = st.text(st.characters(exclude_categories=["Cs"]))
SPANS = st.tuples(st.integers(1, 999_999), st.integers(1, 999_999)).map(sorted)
ATTEMPTS = st.builds(
    lambda span, **fields: Attempt(first_bar=span[0], last_bar=span[1], **fields),
    SPANS,
    score_title=TEXT,
    score_digest=st.binary(min_size=1, max_size=64).map(bytes.hex),
    score_path=TEXT,
    part_id=TEXT.filter(bool),
    part_name=TEXT,
    bars_label=TEXT,
    tempo=st.fractions(min_value=Fraction(1, 1000), max_value=1000, max_denominator=10**9),
    beat=TEXT.filter(bool),
    layers=st.lists(TEXT, max_size=4).map(tuple),
    repetitions=st.integers(0, 999_999),
    seconds=st.floats(0, 86_400),
    outcome=st.sampled_from(Outcome),
    note=TEXT,
    at=MOMENTS,
)


def test_what_is_noted_is_read_back_exactly(tmp_path: Path) -> None:
    written: list[Attempt] = []

    @given(ATTEMPTS)
    @settings(deadline=None)
    def note(attempt: Attempt) -> None:
        log.note(attempt)
        written.append(attempt)
        [latest] = [kept for kept in log.attempts() if kept.id == attempt.id]
        assert latest == attempt
        assert latest.at.utcoffset() == attempt.at.utcoffset()

    with Log.open(tmp_path) as log:
        note()
    with Log.read_only(tmp_path) as log:
        assert {a.id: a for a in log.attempts()} == {a.id: a for a in written}
        assert log.check() == []


def test_a_tempo_and_a_half_stays_a_fraction(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played(tempo=Fraction(145, 2)))
        log.note(played(tempo=Fraction(100, 3)))
    with closing(sqlite3.connect(tmp_path / "practice.db")) as raw:
        assert raw.execute("SELECT tempo FROM attempt").fetchall() == [("145/2",), ("100/3",)]


@pytest.mark.parametrize("zone", ["Pacific/Kiritimati", "America/St_Johns", "Europe/London"])
def test_the_local_day_can_be_told_by_sqlite_alone(
    tmp_path: Path, played: Noting, zone: str
) -> None:
    # SQLite's own date function, given UTC text and an offset, against the zone database.
    late = datetime(2025, 7, 14, 23, 59, 59, 5, tzinfo=ZoneInfo(zone))
    with Log.open(tmp_path) as log:
        log.note(played(at=late))
        assert log.attempts()[0].at == late
    with closing(sqlite3.connect(tmp_path / "practice.db")) as raw:
        day, utc = raw.execute(
            "SELECT date(at_utc, utc_offset || ' seconds'), at_utc FROM attempt"
        ).fetchone()
    assert day == "2025-07-14"
    # RFC 3339: the same instant, written in UTC.
    assert datetime.fromisoformat(utc) == late.astimezone(UTC)


def test_both_passes_through_the_hour_the_clocks_go_back_are_told_apart(
    tmp_path: Path, played: Noting
) -> None:
    first = datetime(2025, 10, 26, 2, 30, tzinfo=ZoneInfo("Europe/Berlin"))
    with Log.open(tmp_path) as log:
        log.note(played(at=first.replace(fold=1), note="second pass"))
        log.note(played(at=first, note="first pass"))
        passes = log.attempts(newest_first=False)
    assert [a.note for a in passes] == ["first pass", "second pass"]
    assert [a.at.utcoffset() for a in passes] == [timedelta(hours=2), timedelta(hours=1)]


def test_attempts_come_newest_first_and_as_many_as_asked(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        for minute, turn in ((5, "first"), (1, ""), (9, ""), (5, "second")):
            log.note(played(minute, note=turn))
        assert [a.at.minute for a in log.attempts()] == [9, 5, 5, 1]
        assert [a.note for a in log.attempts()] == ["", "second", "first", ""]
        assert log.attempts(newest_first=False) == log.attempts()[::-1]
        assert log.attempts(limit=2) == log.attempts()[:2]
        assert log.attempts(limit=0) == []
        with pytest.raises(RequestError, match="-1"):
            log.attempts(limit=-1)


def test_attempts_can_be_asked_by_part_and_by_score(tmp_path: Path, played: Noting) -> None:
    viola = played(part_id="P3", part_name="Viola")
    other = played(score_digest="0a" * 32)
    with Log.open(tmp_path) as log:
        log.note(viola)
        log.note(other)
        assert log.attempts(part="Viola") == log.attempts(part="P3") == [viola]
        assert log.attempts(score_digest=other.score_digest) == [other]
        assert log.attempts(part="Viola", score_digest=other.score_digest) == []
        assert log.attempts(part="viol%") == []


def test_a_passage_goes_on_from_the_tempo_it_was_left_at(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played(9, tempo=Fraction(145, 2), outcome=Outcome.SHAKY))
        log.note(played(1, tempo=Fraction(60), outcome=Outcome.SECURE))
        log.note(played(12, tempo=Fraction(50), last_bar=21))
        last = log.last_tempo("5e" * 32, "P2", 13, 20)
        assert last is not None
        assert (last.tempo, last.outcome) == (Fraction(145, 2), Outcome.SHAKY)
        assert last.beat == "dotted quarter"
        assert log.last_tempo("5e" * 32, "P2", 13, 19) is None
        assert log.last_tempo("5e" * 32, "P3", 13, 20) is None


def test_the_same_attempt_is_not_counted_twice(tmp_path: Path, played: Noting) -> None:
    once = played()
    with Log.open(tmp_path) as log:
        log.note(once)
        with pytest.raises(JournalError, match="already in the practice log"):
            log.note(once)
        assert log.attempts() == [once]


@pytest.mark.skipif(os.name != "posix", reason="file names are bytes on POSIX only")
def test_a_score_whose_file_name_is_not_unicode_can_still_be_practised(
    tmp_path: Path, played: Noting
) -> None:
    name = os.fsdecode(b"/scores/\xe9tude.musicxml")
    with Log.open(tmp_path) as log:
        log.note(played(score_path=name))
        assert log.attempts()[0].score_path == "/scores/\\udce9tude.musicxml"


def test_a_closed_log_says_so_and_does_not_seem_empty(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played())
    log.close()
    with pytest.raises(JournalError, match="closed"):
        log.attempts()

"""What the log knows at a glance agrees with the attempts, and minutes with both."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from pathlib import Path

from companion.journal.log import Log
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.practice_day import minutes_a_day
from companion.practice.revision import Revision

Noting = Callable[..., Attempt]
BARS = Bars("5e" * 32, "P2", 13, 20)


def test_a_passage_is_told_by_its_latest_attempt(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played(9, tempo=Fraction(145, 2), outcome=Outcome.SHAKY, bars_label="II:13–20"))
        log.note(played(1, tempo=Fraction(60)))
        log.note(played(5, last_bar=21))
        [passage, longer] = log.passages()
        assert passage.bars == BARS
        assert (passage.tries, passage.last.minute) == (2, 9)
        assert (passage.tempo, passage.beat) == (Fraction(145, 2), "dotted quarter")
        assert passage.outcome is Outcome.SHAKY
        assert (passage.part_name, passage.bars_label) == ("Violin II", "II:13–20")
        assert longer.bars == replace(BARS, last=21)
        assert log.passages("0a" * 32) == []
        assert log.passages("5e" * 32) == [passage, longer]


def test_a_stamp_stands_until_its_own_passage_changes(tmp_path: Path, played: Noting) -> None:
    attempt = played()
    with Log.open(tmp_path) as log:
        log.note(attempt)
        log.note(played(last_bar=21))
        first, other = (passage.stamp for passage in log.passages())
        assert [passage.stamp for passage in log.passages()] == [first, other]
        log.note(played(1))
        second = log.passages()[0].stamp
        log.correct(attempt.id, note="again")
        third, unchanged = (passage.stamp for passage in log.passages())
        assert len({first, second, third, other}) == 4
        assert unchanged == other
        assert log.stamps() == {passage.bars: passage.stamp for passage in log.passages()}


def test_of_attempts_at_one_moment_the_one_noted_later_is_the_latest(
    tmp_path: Path, played: Noting
) -> None:
    with Log.open(tmp_path) as log:
        log.note(played(outcome=Outcome.HELD))
        log.note(played(outcome=Outcome.SECURE))
        assert log.passages()[0].outcome is log.attempts()[0].outcome is Outcome.SECURE


def test_the_attempts_at_one_passage_are_found_alone(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        for minute in range(3):
            log.note(played(minute))
            log.note(played(minute, last_bar=21))
        found = log.attempts_at(BARS)
        assert [attempt.at.minute for attempt in found] == [2, 1, 0]
        assert log.attempts_at(BARS, limit=1) == found[:1]


def test_a_glance_that_is_out_of_step_is_found(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played())
        log.note(played(last_bar=21))
    path = tmp_path / "practice.db"
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("UPDATE passage SET tries = 7 WHERE last_bar = 20")
        other.execute("DELETE FROM passage WHERE last_bar = 21")
    with Log.read_only(tmp_path) as log:
        problems = log.check()
        assert len(problems) == 2
        assert all("out of step" in problem for problem in problems)


def test_attempts_and_entries_fill_the_day_together(tmp_path: Path, played: Noting) -> None:
    at = played().at
    lesson = LogEntry(
        what=Activity.LESSON, seconds=3600, at=at + timedelta(minutes=30), revision=Revision(at)
    )
    scales = LogEntry(
        what=Activity.SCALES, seconds=600, at=at - timedelta(hours=5), revision=Revision(at)
    )
    mistake = LogEntry(
        what=Activity.OTHER, seconds=6000, at=at - timedelta(hours=9), revision=Revision(at)
    )
    with Log.open(tmp_path) as log:
        log.note(played(seconds=120.0))  # within the lesson
        log.note(played(24 * 60, seconds=90.0))
        for entry in (lesson, scales, mistake, replace(scales, seconds=900, revision=Revision())):
            log.entries.add(entry)
        log.entries.add(replace(mistake, is_withdrawn=True, revision=Revision()))
        assert minutes_a_day(log.spans()) == {date(2026, 3, 1): 75, date(2026, 3, 2): 1.5}
        assert minutes_a_day(log.spans(since=at + timedelta(hours=2))) == {date(2026, 3, 2): 1.5}


def test_a_stretch_is_asked_by_when_it_was_not_only_by_when_it_ended(tmp_path: Path) -> None:
    midnight = datetime(2026, 3, 2, tzinfo=UTC)
    with Log.open(tmp_path) as log:
        night = LogEntry(what=Activity.OTHER, seconds=7200, at=midnight + timedelta(hours=1))
        log.entries.add(night)
        assert len(log.spans(until=midnight)) == 1
        assert log.spans(until=midnight - timedelta(hours=1)) == []


def test_the_hour_at_which_a_day_ends_is_kept_with_the_log(tmp_path: Path) -> None:
    with Log.read_only(tmp_path) as log:
        assert log.day_ends == time(4)
    with Log.open(tmp_path) as log:
        log.set_day_ends(time(3, 30))
        log.set_day_ends(time(2, 15))
    with Log.read_only(tmp_path) as log:
        assert log.day_ends == time(2, 15)


def test_the_judgement_of_taps_is_kept_with_the_attempt(tmp_path: Path, played: Noting) -> None:
    judged = played(judgement='{"early": 3, "late": 1}')
    with Log.open(tmp_path) as log:
        log.note(judged)
        log.note(played(1))
        assert [attempt.judgement for attempt in log.attempts()] == [None, judged.judgement]

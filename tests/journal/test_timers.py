"""A timer is there from its start until it is an entry, whatever becomes of the program."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.errors import RequestError
from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt
from companion.practice.entry import Activity
from companion.practice.timer import Timer, entry_until

Noting = Callable[..., Attempt]
SIX = datetime(2026, 3, 1, 16, 0, tzinfo=UTC)
TIMER = Timer(what=Activity.LESSON, note="bow", started=SIX, signs_every=20.0)


def after(minutes: int) -> datetime:
    return SIX + timedelta(minutes=minutes)


def test_a_timer_that_was_started_is_still_there_the_next_time(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.timers.start(TIMER)
    with Log.read_only(tmp_path) as log:
        assert log.timers.running() == TIMER
        assert log.entries.current() == []


def test_a_stopped_timer_is_an_entry_and_runs_no_longer(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.timers.start(TIMER)
        entry = log.timers.stop(TIMER.id, lambda timer: entry_until(timer, after(45)))
        assert (entry.id, entry.seconds, entry.note) == (TIMER.id, 45 * 60, "bow")
        assert log.timers.running() is None
        assert log.entries.current() == [entry]
        with pytest.raises(JournalError, match="runs no longer"):
            log.timers.stop(TIMER.id, lambda timer: entry_until(timer, after(50)))
        assert log.entries.current() == [entry]


def test_a_timer_goes_on_where_its_end_cannot_be_meant(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.timers.start(TIMER)
        with pytest.raises(RequestError, match="before that"):
            log.timers.stop(TIMER.id, lambda timer: entry_until(timer, after(-1)))
        assert log.timers.running() == TIMER
        assert log.entries.current() == []


def test_a_dropped_timer_leaves_nothing(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.timers.start(TIMER)
        assert log.timers.drop(TIMER.id) == TIMER
        assert (log.timers.running(), log.entries.current()) == (None, [])
        with pytest.raises(JournalError, match="runs no longer"):
            log.timers.drop(TIMER.id)


def test_two_windows_cannot_time_at_once(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log, Log.open(tmp_path) as other:
        log.timers.start(TIMER)
        with pytest.raises(JournalError, match="A timer for lesson has run since"):
            other.timers.start(Timer(what=Activity.SCALES))
        assert other.timers.running() == TIMER


def test_an_attempt_noted_meanwhile_is_a_sign_of_life(tmp_path: Path, played: Noting) -> None:
    with Log.open(tmp_path) as log:
        log.note(played(at=after(-5)))
        log.timers.start(replace(TIMER, last_sign=after(10)))
        log.note(played(at=after(12)))
        running = log.timers.running()
        assert running is not None
        assert running.last_sign == after(12)


def test_the_wall_clock_of_the_start_is_kept(tmp_path: Path, played: Noting) -> None:
    at = played().at
    with Log.open(tmp_path) as log:
        log.timers.start(Timer(what=Activity.OTHER, started=at, last_sign=at))
        running = log.timers.running()
        assert running is not None
        assert running.started.utcoffset() == at.utcoffset() == timedelta(hours=2)
        assert running.last_sign == at

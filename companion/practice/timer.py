"""A running timer, and what it can still be worth after a crash.

A timer measures by the wall clock, because it must outlive the process that started it;
so it may have been forgotten, or the clock set back under it. It never becomes minutes
without either a person's word or a sign of life.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from companion.errors import RequestError
from companion.practice.attempt import new_id, now
from companion.practice.bounds import LONGEST
from companion.practice.entry import Activity, LogEntry

DOUBTFUL = timedelta(hours=6)
"""A timer that runs longer was more likely forgotten (our own choice, no source)."""

_MISSED = 3
"""So many signs of life left out in a row mean that the app is gone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timer:
    """A timer that has been started and not stopped."""

    what: Activity
    """What is being done."""
    note: str = ""
    """The player's own words."""
    started: datetime = field(default_factory=now)
    """With its UTC offset."""
    last_sign: datetime | None = None
    """The last time the app said it was still open, or an attempt was noted; None: never."""
    signs_every: float = 0.0
    """Seconds between signs of life; 0 if nobody gives them (started as a command)."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text; the entry it becomes has the same."""


def is_left_behind(timer: Timer, at: datetime) -> bool:
    """Whether its app ended without stopping it: signs of life were promised and stay away."""
    if not timer.signs_every:
        return False
    silent = elapsed(timer.last_sign or timer.started, at)
    return silent > _MISSED * timer.signs_every


def is_doubtful(timer: Timer, at: datetime) -> bool:
    """Whether the time until now is hardly the time practised."""
    too_long = timedelta(seconds=elapsed(timer.started, at)) > DOUBTFUL
    return too_long or at < timer.started or is_left_behind(timer, at)


def elapsed(start: datetime, end: datetime) -> float:
    """Seconds from start to end, both with their offsets; 0 if the clock was set back."""
    return max(end.timestamp() - start.timestamp(), 0.0)


def entry_until(timer: Timer, end: datetime, note: str | None = None) -> LogEntry:
    """The entry a timer becomes when it ends then. Raises RequestError for an end that is none."""
    if end < timer.started:
        raise RequestError(
            f"The timer was started at {timer.started:%Y-%m-%d %H:%M},"
            f" and {end:%Y-%m-%d %H:%M} is before that",
            next="Say a later time, or say how many minutes it was.",
        )
    seconds = elapsed(timer.started, end)
    if seconds > LONGEST:
        raise RequestError(
            f"From {timer.started:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M} is more than a day",
            next="Say until when it was, or how many minutes.",
        )
    return _entry(timer, seconds, end, note)


def entry_lasting(timer: Timer, seconds: float, at: datetime, note: str | None = None) -> LogEntry:
    """The entry it becomes where its length is known, whatever the clock did; `at` is now."""
    end = min(timer.started + timedelta(seconds=seconds), max(at, timer.started))
    return _entry(timer, seconds, end, note)


def _entry(timer: Timer, seconds: float, end: datetime, note: str | None) -> LogEntry:
    words = timer.note if note is None else note
    return LogEntry(what=timer.what, seconds=seconds, note=words, at=end, id=timer.id)


def until_last_sign(timer: Timer) -> datetime:
    """The last moment at which somebody was certainly practising; the start if nobody said so."""
    return max(timer.last_sign or timer.started, timer.started)

"""The timer, as both faces use it.

Between start and stop there may be no process at all, or one that dies. So a stop that
would count hours nobody can vouch for is not made silently: it is asked what they were.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import now
from companion.practice.entry import Activity, LogEntry
from companion.practice.timer import (
    Timer,
    elapsed,
    entry_lasting,
    entry_until,
    is_doubtful,
    until_last_sign,
)


@dataclass(frozen=True, slots=True)
class Stop:
    """How a timer is to end: now if nothing else is said."""

    until: datetime | None = None
    """At this moment."""
    at_last_sign: bool = False
    """At the last sign of life."""
    seconds: float | None = None
    """So long after its start, in seconds."""
    note: str | None = None
    """In place of the note it was started with."""


def running_timer(folders: Folders) -> Timer | None:
    """The timer that runs or was left behind by a program that ended without stopping it."""
    with Log.read_only(folders.data) as log:
        return log.timers.running()


def start_timer(folders: Folders, what: Activity, note: str = "") -> Timer:
    """Start one; on disk when this returns. Raises RequestError while another one runs."""
    timer = Timer(what=what, note=note)
    with Log.open(folders.data) as log:
        if (other := log.timers.running()) is not None:
            raise RequestError(timer_told(other), next=_CHOICES)
        log.timers.start(timer)
    return timer


def stop_timer(folders: Folders, stop: Stop, at: datetime | None = None) -> LogEntry:
    """Make the running timer an entry; on disk when this returns. `at` is now.

    Raises RequestError if none runs, if it ran for under a minute and no length is given, and
    if nothing was given and the time until now is doubtful: after many hours, after a crash,
    with the clock set back.
    """
    moment = at or now()
    with Log.open(folders.data) as log:
        timer = _running(log)
        is_told = stop.until or stop.at_last_sign or stop.seconds is not None
        if not is_told and is_doubtful(timer, moment):
            raise RequestError(
                f"{timer_told(timer, moment)}; was that all practice?", next=_CHOICES
            )
        return log.timers.stop(timer.id, lambda found: _ended(found, stop, moment))


def drop_timer(folders: Folders) -> Timer:
    """Forget the running timer."""
    with Log.open(folders.data) as log:
        return log.timers.drop(_running(log).id)


_SHORTEST = 60
"""Seconds; a shorter time is more likely a slip than practice."""

_CHOICES = (
    "Keep it with companion timer stop --until 18:30, --minutes 40 or --last-sign, "
    "or drop it with companion timer stop --discard."
)
"""What can be done with a timer that was left behind."""


def timer_told(timer: Timer, at: datetime | None = None) -> str:
    """`A timer for scales has run since 2026-03-01 18:00 (25 minutes; the program last ran
    at 18:20)`."""
    minutes = round(elapsed(timer.started, at or now()) / 60)
    sign = f"; the program last ran at {timer.last_sign:%H:%M}" if timer.last_sign else ""
    since = f"{timer.started:%Y-%m-%d %H:%M}"
    return f"A timer for {timer.what} has run since {since} ({minutes} minutes{sign})"


def _ended(timer: Timer, stop: Stop, moment: datetime) -> LogEntry:
    if stop.seconds is not None:
        return entry_lasting(timer, stop.seconds, moment, stop.note)
    end = until_last_sign(timer) if stop.at_last_sign else stop.until or moment
    entry = entry_until(timer, end, stop.note)
    if entry.seconds < _SHORTEST:
        raise RequestError(
            "the timer has run for less than a minute",
            next="Let it run on, say how long with companion timer stop --minutes 5, or drop "
            "it with companion timer stop --discard.",
        )
    return entry


def _running(log: Log) -> Timer:
    timer = log.timers.running()
    if timer is None:
        raise RequestError("no timer runs", next="Start one: companion timer start.")
    return timer

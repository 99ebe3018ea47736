"""What no report can hold, whatever its checksum says.

A report comes from somebody's machine by mail. Bars up to two thousand million, a day of a
hundred hours or a tempo that is a novel would make the teacher's table wrong or never done.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime
from fractions import Fraction
from functools import lru_cache

from companion.practice.outcome import Outcome
from companion.practice.report import Report, ReportedAttempt, ReportedDrill, ReportedPassage

MOST_BARS = 20_000
"""Bars of a score at most."""
_A_DAY = 25 * 60.0
"""Minutes of the longest day, when clocks go back."""
_LONGEST = 20_000
"""Letters of a text at most."""
_LONGEST_ID = 40
"""Letters of an id at most: a UUID has 36."""
_OUTCOMES = frozenset(outcome.value for outcome in Outcome)


def fault_in(report: Report) -> bool:
    """Whether a report holds something no report can hold."""
    return not all(_claims(report))


def _claims(report: Report) -> Iterator[bool]:
    yield _is_moment(report.made)
    yield report.since is None or _is_day(report.since)
    yield len(report.name) <= _LONGEST and len(report.note) <= _LONGEST
    for day, minutes in report.minutes.items():
        yield _is_day(day) and math.isfinite(minutes) and 0 <= minutes <= _A_DAY
    for passage in report.passages:
        yield from _of_passage(passage)
    for exercise in report.exercises:
        yield exercise.due is None or _is_day(exercise.due)
        yield from (_are_bars(drill) and drill.tries >= 0 for drill in exercise.drills)


def _of_passage(passage: ReportedPassage) -> Iterator[bool]:
    yield _are_bars(passage)
    yield all(
        len(text) <= _LONGEST
        for text in (passage.title, passage.part, passage.part_name, passage.label, passage.held)
    )
    for attempt in passage.attempts:
        yield _is_attempt(attempt)


def _are_bars(where: ReportedPassage | ReportedDrill) -> bool:
    return 0 < where.first <= where.last <= MOST_BARS


def _is_attempt(attempt: ReportedAttempt) -> bool:
    return (
        attempt.outcome in _OUTCOMES
        and _is_moment(attempt.at)
        and _is_tempo(attempt.tempo)
        and 0 <= attempt.times < 2**31
        and math.isfinite(attempt.seconds)
        and 0 <= attempt.seconds <= _A_DAY * 60
        and 0 < len(attempt.id) <= _LONGEST_ID
    )


@lru_cache(maxsize=4096)
def _is_tempo(text: str) -> bool:
    with suppress(ValueError, ZeroDivisionError):
        return len(text) < 40 and Fraction(text) > 0
    return False


def _is_day(text: str) -> bool:
    with suppress(ValueError):
        return date.fromisoformat(text).isoformat() == text
    return False


def _is_moment(text: str) -> bool:
    with suppress(ValueError):
        return datetime.fromisoformat(text).utcoffset() is not None
    return False

"""Entries, goals and dates: said, and said again, with nothing overwritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.journal.database import JournalError
from companion.journal.log import Log
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.bounds import LONGEST
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import Revision

Noting = Callable[..., Attempt]
SIX = datetime(2026, 3, 1, 18, 0, tzinfo=timezone(timedelta(hours=2)))
SCALES = LogEntry(
    what=Activity.SCALES, seconds=1200, note="in thirds", at=SIX, revision=Revision(SIX)
)
BARS = Bars("5e" * 32, "P2", 13, 20)

OFFSETS = st.integers(-86399, 86399).map(lambda s: timezone(timedelta(seconds=s)))
MOMENTS = st.datetimes(datetime(1900, 1, 2), datetime(2199, 12, 30), timezones=OFFSETS)
TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
REVISIONS = st.builds(Revision, MOMENTS)
ENTRIES = st.builds(
    LogEntry,
    what=st.sampled_from(Activity),
    seconds=st.floats(0, LONGEST),
    note=TEXT,
    at=MOMENTS,
    is_withdrawn=st.booleans(),
    revision=REVISIONS,
)
SPANS = st.tuples(st.integers(1, 999_999), st.integers(1, 999_999)).map(sorted)
GOALS = st.builds(
    lambda digest, part, span, **fields: Goal(bars=Bars(digest, part, *span), **fields),
    digest=st.binary(min_size=1, max_size=32).map(bytes.hex),
    part=TEXT.filter(bool),
    span=SPANS,
    tempo=st.fractions(Fraction(1, 1000), 1000, max_denominator=10**9),
    beat=TEXT.filter(bool),
    score_title=TEXT,
    occasion=st.none() | st.uuids(version=4).map(str),
    is_withdrawn=st.booleans(),
    revision=REVISIONS,
)
OCCASIONS = st.builds(
    Occasion,
    day=st.dates(date(1900, 1, 1), date(2199, 12, 31)),
    kind=st.sampled_from(OccasionKind),
    name=TEXT,
    score_digest=st.binary(max_size=32).map(bytes.hex),
    is_withdrawn=st.booleans(),
    revision=REVISIONS,
)


def test_what_is_said_is_read_back_exactly(tmp_path: Path) -> None:
    @given(ENTRIES, GOALS, OCCASIONS)
    @settings(deadline=None, max_examples=50)
    def say(entry: LogEntry, goal: Goal, occasion: Occasion) -> None:
        assert log.entries.add(entry) == entry
        assert log.entries.history(entry.id) == [entry]
        said = log.goals.add(goal)
        assert replace(said, revision=goal.revision) == goal
        assert said in log.goals.history(*_place(goal))
        assert log.occasions.add(occasion) == occasion
        assert log.occasions.history(occasion.id) == [occasion]

    with Log.open(tmp_path) as log:
        say()
        assert log.check() == []


def _place(goal: Goal) -> tuple[str | int, ...]:
    return goal.bars.score_digest, goal.bars.part_id, goal.bars.first, goal.bars.last


def test_an_entry_can_be_corrected_and_keeps_what_it_said(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.entries.add(SCALES)
        later = replace(SCALES, seconds=900, note="", revision=Revision(SIX + timedelta(days=1)))
        log.entries.add(later)
    with Log.read_only(tmp_path) as log:
        assert log.entries.current() == [later]
        assert log.entries.history(SCALES.id) == [SCALES, later]


def test_a_correction_counts_as_later_even_where_the_clock_was_set_back(
    tmp_path: Path, played: Noting
) -> None:
    yesterday = SIX - timedelta(days=1)
    with Log.open(tmp_path) as log:
        log.entries.add(SCALES)
        said = log.entries.add(replace(SCALES, note="slowly", revision=Revision(yesterday)))
        assert said.revision.at == SIX + timedelta(microseconds=1)
        assert [entry.note for entry in log.entries.current()] == ["slowly"]

        attempt = played()
        log.note(attempt)
        log.correct(attempt.id, outcome=Outcome.SHAKY, at=SIX)
        log.correct(attempt.id, outcome=Outcome.FELL_APART, at=yesterday)
        assert [one.later.outcome for one in log.corrections(attempt.id)] == [
            Outcome.SHAKY,
            Outcome.FELL_APART,
        ]
        assert log.attempts()[0].outcome is Outcome.FELL_APART
        assert log.check() == []


def test_an_entry_taken_back_is_gone_from_the_list_and_kept_in_its_history(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.entries.add(SCALES)
        log.entries.add(
            replace(SCALES, is_withdrawn=True, revision=Revision(SIX + timedelta(hours=1)))
        )
        assert log.entries.current() == []
        assert [entry.is_withdrawn for entry in log.entries.history(SCALES.id)] == [False, True]


def test_entries_come_newest_first_and_as_many_as_asked(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        for hour in (2, 0, 1):
            at = SIX + timedelta(hours=hour)
            log.entries.add(LogEntry(what=Activity.OTHER, seconds=60, at=at, revision=Revision(at)))
        assert [entry.at.hour for entry in log.entries.current()] == [20, 19, 18]
        assert [entry.at.hour for entry in log.entries.current(limit=1)] == [20]
        with pytest.raises(RequestError, match="-1"):
            log.entries.current(limit=-1)


def test_the_same_saying_is_not_taken_twice(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.entries.add(SCALES)
        with pytest.raises(JournalError, match="already in the practice log"):
            log.entries.add(SCALES)
        assert log.entries.history(SCALES.id) == [SCALES]


def test_a_goal_is_for_its_own_bars_and_follows_a_concert_that_is_moved(tmp_path: Path) -> None:
    concert = Occasion(day=date(2026, 5, 2), kind=OccasionKind.CONCERT, revision=Revision(SIX))
    goal = Goal(
        bars=BARS,
        tempo=Fraction(145, 2),
        beat="dotted quarter",
        occasion=concert.id,
        revision=Revision(SIX),
    )
    other = replace(goal, bars=replace(BARS, last=21), revision=Revision(SIX))
    with Log.open(tmp_path) as log:
        log.occasions.add(concert)
        log.goals.add(goal)
        log.goals.add(other)
        faster = log.goals.add(replace(goal, tempo=Fraction(80), revision=Revision()))
        moved = log.occasions.add(replace(concert, day=date(2026, 5, 9), revision=Revision()))
        assert log.goals.current() == [faster, other]
        assert log.goals.history(*_place(goal)) == [goal, faster]
        assert log.occasions.current() == [moved]
        given_up = log.goals.add(replace(other, is_withdrawn=True, revision=Revision()))
        assert given_up.is_withdrawn
        assert log.goals.current() == [faster]


def test_dates_stand_in_the_order_of_the_calendar(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        for month in (5, 3, 4):
            log.occasions.add(Occasion(day=date(2026, month, 1), kind=OccasionKind.LESSON))
        assert [one.day.month for one in log.occasions.current()] == [3, 4, 5]


def test_looking_at_a_log_says_nothing(tmp_path: Path) -> None:
    with Log.open(tmp_path) as log:
        log.entries.add(SCALES)
    with Log.read_only(tmp_path) as log, pytest.raises(JournalError):
        log.entries.add(replace(SCALES, revision=Revision(datetime(2027, 1, 1, tzinfo=UTC))))

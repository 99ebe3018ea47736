"""Two machines' logs joined: nothing lost, nothing doubled, the same either way."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from companion.journal.database import JournalError
from companion.journal.json_document import record_of, written
from companion.journal.log import Log
from companion.journal.record import Merged, Record
from companion.practice.attempt import Attempt, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.revision import Revision

Noting = Callable[..., Attempt]
NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


def hour(number: int) -> datetime:
    return NINE + timedelta(hours=number)


def carried(folder: Path) -> Record:
    """What a machine's export says, by way of the file."""
    with Log.read_only(folder) as log:
        return record_of(b"".join(written(log.gather(), NINE)), "log.json")


def says(folder: Path) -> tuple[list[Attempt], list[LogEntry]]:
    with Log.read_only(folder) as log:
        assert log.check() == []
        return log.attempts(), log.entries.current()


@pytest.fixture
def pair(tmp_path: Path, played: Noting) -> tuple[Path, Path]:
    """Two machines that began with the same log and then went their own ways."""
    home, away = tmp_path / "home", tmp_path / "away"
    shared, scales = (
        played(note="easy"),
        LogEntry(what=Activity.SCALES, seconds=600, revision=Revision(NINE)),
    )
    with Log.open(home) as log:
        log.note(shared)
        log.entries.add(scales)
    with Log.open(away) as log:
        log.merge(carried(home))
        log.note(played(7, part_name="Viola"))
        log.correct(shared.id, outcome=Outcome.FELL_APART, note="rushed", at=hour(2))
        log.entries.add(replace(scales, seconds=900, revision=Revision(hour(1))))
    with Log.open(home) as log:
        log.note(played(3))
        log.correct(shared.id, outcome=Outcome.SHAKY, at=hour(1))
        log.correct(shared.id, outcome=Outcome.SECURE, at=hour(3))
        log.entries.add(replace(scales, note="in thirds", revision=Revision(hour(2))))
    return home, away


def test_joined_either_way_two_logs_say_the_same(pair: tuple[Path, Path]) -> None:
    home, away = pair
    from_home, from_away = carried(home), carried(away)
    with Log.open(home) as log:
        assert log.merge(from_away) == Merged(attempts=1, corrections=1, entries=1)
    with Log.open(away) as log:
        assert log.merge(from_home) == Merged(attempts=1, corrections=2, entries=1)
    assert says(home) == says(away)
    attempts, [scales] = says(home)
    assert [attempt.at.minute for attempt in attempts] == [7, 3, 0]
    # The outcome last said at home, the note last said away: word by word the later one.
    assert (attempts[-1].outcome, attempts[-1].note) == (Outcome.SECURE, "rushed")
    # Of an entry the later saying holds as a whole.
    assert (scales.seconds, scales.note) == (600, "in thirds")


def test_every_correction_of_both_is_kept(pair: tuple[Path, Path]) -> None:
    home, away = pair
    with Log.open(home) as log:
        shared = log.attempts(newest_first=False)[0]
        log.merge(carried(away))
        kept = [one.later.outcome for one in log.corrections(shared.id)]
        assert kept == [Outcome.SHAKY, Outcome.FELL_APART, Outcome.SECURE]
        assert len(log.entries.history(log.entries.current()[0].id)) == 3


def test_joining_again_changes_nothing(pair: tuple[Path, Path]) -> None:
    home, away = pair
    record = carried(away)
    with Log.open(home) as log:
        log.merge(record)
    before = says(home)
    with Log.open(home) as log:
        assert log.merge(record) == Merged()
        assert log.merge(log.gather()) == Merged()
    assert says(home) == before


def test_a_correction_made_after_joining_is_later_than_all_it_could_see(
    tmp_path: Path, played: Noting
) -> None:
    # One machine's clock is a year ahead; the correction made with both known still holds.
    ahead, here = tmp_path / "ahead", tmp_path / "here"
    attempt = played()
    with Log.open(ahead) as log:
        log.note(attempt)
        log.correct(attempt.id, outcome=Outcome.SHAKY, at=hour(24 * 365))
    with Log.open(here) as log:
        log.merge(carried(ahead))
        log.correct(attempt.id, outcome=Outcome.SECURE, at=hour(1))
    with Log.open(ahead) as log:
        log.merge(carried(here))
    assert says(ahead) == says(here)
    assert says(here)[0][0].outcome is Outcome.SECURE


def test_a_passage_known_at_a_glance_follows_what_comes_in(
    tmp_path: Path, pair: tuple[Path, Path]
) -> None:
    home, away = pair
    with Log.open(home) as log:
        log.merge(carried(away))
        [passage] = log.passages()
        assert (passage.tries, passage.last.minute) == (3, 7)


def change_behind_the_back(folder: Path, statement: str) -> None:
    with closing(sqlite3.connect(folder / "practice.db")) as other, other:
        other.execute(statement)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE attempt SET tempo = '200'",
        "UPDATE attempt SET note = 'sublime' WHERE at_utc LIKE '%16:03:%'",
        "UPDATE entry SET seconds = 86400",
        "UPDATE revision SET at_utc = '2031-03-02T09:00:00.000000Z'",
    ],
)
def test_a_log_that_was_changed_by_other_means_is_refused_whole(
    tmp_path: Path, pair: tuple[Path, Path], played: Noting, statement: str
) -> None:
    home, _ = pair
    record = carried(home)
    fresh = replace(record, attempts=(*carried(pair[1]).attempts[1:2], *record.attempts))
    change_behind_the_back(home, statement)
    with Log.open(home) as log:
        before = log.attempts()
        with pytest.raises(JournalError, match="nothing was taken in"):
            log.merge(fresh)
        assert log.attempts() == before


def test_a_record_that_contradicts_itself_is_refused_whole(tmp_path: Path, played: Noting) -> None:
    attempt = played()
    with Log.open(tmp_path / "one") as log:
        log.note(attempt)
    record = carried(tmp_path / "one")
    doubled = replace(record, attempts=record.attempts * 2)
    other = replace(record.attempts[0], attempt=replace(attempt, bars_label="99"))
    with Log.open(tmp_path / "two") as log:
        with pytest.raises(JournalError, match="nothing was taken in"):
            log.merge(replace(record, attempts=(*record.attempts, other)))
        assert log.attempts() == []
        assert log.merge(doubled) == Merged(attempts=1)
        assert log.attempts() == [attempt]

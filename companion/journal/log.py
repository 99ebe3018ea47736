"""The practice log: what was played, at what tempo, and how it went.

Kept for years and believed by a teacher, so an attempt is committed to the
disk before `note` returns, a correction keeps what stood there before, and
looking at a log that does not exist yet does not begin one.
"""

from __future__ import annotations

import sqlite3
from contextlib import AbstractContextManager
from datetime import datetime, time
from pathlib import Path
from types import TracebackType
from typing import Self

from companion.errors import RequestError
from companion.journal import backup, changes, check, open_log, queries, record
from companion.journal.changes import HistoryTable
from companion.journal.database import in_a_sentence, transaction, unreadable
from companion.journal.fields import ENTRY, GOAL, OCCASION
from companion.journal.queries import LastTempo, PassageSummary, ScoreSummary
from companion.journal.timers import Timers
from companion.journal.unreadable_rows import UnreadableRow, mark_row, unreadable_rows
from companion.practice.attempt import Attempt, Bars, Outcome, now
from companion.practice.practice_day import DAY_ENDS, PracticeSpan, parse_day_end
from companion.practice.revision import Correction

FILE_NAME = "practice.db"
"""The log's file inside its folder; SQLite keeps two more next to it while it is open."""

PATIENCE = 5.0
"""Seconds to wait while another process writes."""

_DAY_ENDS = "day ends"
_SETTING = "SELECT value FROM setting WHERE name = ?"
_SET = "INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value"


class Log(AbstractContextManager["Log"]):
    """An open practice log; use it in the thread that opened it, and close it.

    Every method raises JournalError when the file cannot serve.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection
        self.entries = HistoryTable(connection, path, ENTRY)
        self.goals = HistoryTable(connection, path, GOAL)
        self.occasions = HistoryTable(connection, path, OCCASION)
        self.timers = Timers(connection, path)

    @classmethod
    def open(cls, folder: Path, *, patience: float = PATIENCE) -> Self:
        """The log in `folder`, both created if need be; waits `patience` seconds for others."""
        path = folder / FILE_NAME
        return cls(path, open_log.open_for_writing(path, patience))

    @classmethod
    def read_only(cls, folder: Path, *, patience: float = PATIENCE) -> Self:
        """The log in `folder` to look at; an empty one, and nothing created, if there is none."""
        path = folder / FILE_NAME
        return cls(path, open_log.open_for_reading(path, patience))

    @staticmethod
    def is_begun(folder: Path) -> bool:
        """Whether there is a log in `folder`. Raises JournalError if nobody may look."""
        path = folder / FILE_NAME
        with in_a_sentence(path):
            return path.exists()

    def __exit__(
        self,
        kind: type[BaseException] | None,
        fault: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Puts the log away; closing twice does no harm."""
        self._connection.close()

    def note(self, attempt: Attempt) -> None:
        """Writes the attempt down: on disk when this returns, not in the log if it raises."""
        with in_a_sentence(self.path):
            changes.add_attempt(self._connection, self.path, attempt)

    def note_once(self, attempt: Attempt) -> bool:
        """As `note`, for trying again: whether it was not there yet."""
        with in_a_sentence(self.path):
            return changes.add_once(self._connection, attempt)

    def correct(
        self,
        attempt_id: str,
        *,
        outcome: Outcome | None = None,
        note: str | None = None,
        is_withdrawn: bool | None = None,
        at: datetime | None = None,
    ) -> Attempt:
        """Changes what is not None, keeps what was there, returns the attempt.

        `at` is when it was corrected, this moment if None.
        """
        with in_a_sentence(self.path):
            return changes.correct_attempt(
                self._connection,
                self.path,
                attempt_id,
                outcome=outcome,
                note=note,
                is_withdrawn=is_withdrawn,
                at=at or now(),
            )

    def attempts(
        self,
        *,
        part: str | None = None,
        part_begins: str | None = None,
        score_digest: str | None = None,
        limit: int | None = None,
        newest_first: bool = True,
    ) -> list[Attempt]:
        """The attempts in order of time, at most `limit` from the start of that order.

        `part` is a part's id or its printed name, letter for letter; `part_begins` its id or
        the beginning of its name in any case of letters. Raises RequestError for a negative
        limit.
        """
        with in_a_sentence(self.path):
            return queries.attempts(
                self._connection,
                part=part,
                part_begins=part_begins,
                score_digest=score_digest,
                limit=limit,
                newest_first=newest_first,
            )

    def attempts_at(self, bars: Bars, *, limit: int | None = None) -> list[Attempt]:
        """The attempts at just this passage, newest first."""
        with in_a_sentence(self.path):
            return queries.of_bars(self._connection, bars, limit)

    def last_tempo(
        self, score_digest: str, part_id: str, first: int, last: int
    ) -> LastTempo | None:
        """How the latest attempt of just these bars (ordinals) went; None if never tried."""
        with in_a_sentence(self.path):
            return queries.last_tempo(self._connection, score_digest, part_id, first, last)

    def passages(self, score_digest: str | None = None) -> list[PassageSummary]:
        """Every passage that has attempts, at a glance; of one score or of all."""
        with in_a_sentence(self.path):
            return queries.passages(self._connection, score_digest)

    def stamps(self) -> dict[Bars, str]:
        """The stamp of every passage (see `PassageSummary.stamp`), in a quarter of the time."""
        with in_a_sentence(self.path):
            return queries.stamps(self._connection)

    def scores(self, most: int | None = None) -> list[ScoreSummary]:
        """The scores practised last, each once, the latest first."""
        with in_a_sentence(self.path):
            return queries.scores(self._connection, most)

    def spans(
        self, since: datetime | None = None, until: datetime | None = None
    ) -> list[PracticeSpan]:
        """When there was practice (attempts and free entries), for `practice_day` to count."""
        with in_a_sentence(self.path):
            return queries.practice_spans(self._connection, since, until)

    def corrections(self, attempt_id: str) -> list[Correction]:
        """What the attempt said before and after each correction, oldest first."""
        with in_a_sentence(self.path):
            return queries.corrections(self._connection, attempt_id)

    def ids_like(self, beginning: str) -> list[tuple[str, str]]:
        """Attempts and free entries by the beginning of their id: ("attempt" or "entry", id)."""
        with in_a_sentence(self.path):
            return queries.ids_like(self._connection, beginning)

    @property
    def day_ends(self) -> time:
        """The hour at which this player's practice day ends."""
        with in_a_sentence(self.path):
            kept = self._connection.execute(_SETTING, (_DAY_ENDS,)).fetchone()
        try:
            return parse_day_end(kept[0]) if kept else DAY_ENDS
        except RequestError as fault:
            raise unreadable(f"{self.path}, setting “{_DAY_ENDS}”", fault) from fault

    def set_day_ends(self, ends: time) -> None:
        """Sets that hour, for all days before as well; on disk when this returns."""
        with in_a_sentence(self.path), transaction(self._connection):
            self._connection.execute(_SET, (_DAY_ENDS, f"{ends:%H:%M}"))

    def gather(self) -> record.Record:
        """All that is worth keeping, as it stands at one moment."""
        with in_a_sentence(self.path):
            return record.gather(self._connection)

    def merge(self, come: record.Record) -> record.Merged:
        """Joins a record to this log, all of it or nothing; what is here already stays."""
        with in_a_sentence(self.path):
            return record.merge(self._connection, self.path, come)

    def unreadable(self, newest: int) -> list[UnreadableRow]:
        """Rows that cannot be read and are not deleted, among the newest of each table."""
        with in_a_sentence(self.path):
            return list(unreadable_rows(self._connection, self.path, newest))

    def mark_unreadable(self, name: str, *, is_deleted: bool) -> None:
        """Deletes a row that cannot be read, or brings it back. Raises RequestError for others."""
        with in_a_sentence(self.path):
            mark_row(self._connection, self.path, name, is_deleted=is_deleted)

    def back_up(self, target: Path) -> None:
        """Copies the log into one file, while others may be writing."""
        backup.back_up(self._connection, self.path, target)

    def check(self) -> list[str]:
        """A sentence for each thing wrong with the file; none when the log is whole."""
        return check.problems(self._connection, self.path)

"""The practice log: what was played, at what tempo, and how it went.

Kept for years and believed by a teacher, so an attempt is committed to the
disk before `note` returns, a correction keeps what stood there before, and
looking at a log that does not exist yet does not begin one.
"""

from __future__ import annotations

import sqlite3
from contextlib import AbstractContextManager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from companion.journal import inspection, opening, reading, writing
from companion.journal.reading import LastTempo
from companion.journal.row import Revision
from companion.journal.trouble import in_a_sentence
from companion.practice.attempt import Attempt, now
from companion.practice.outcome import Outcome

FILE_NAME = "practice.db"
"""The log's file inside its folder; SQLite keeps two more beside it while it is open."""

PATIENCE = 5.0
"""Seconds to wait while another process writes."""


class Log(AbstractContextManager["Log"]):
    """An open practice log; use it in the thread that opened it, and close it.

    Every method raises JournalError when the file cannot serve.
    """

    def __init__(self, path: Path, connection: sqlite3.Connection) -> None:
        self.path = path
        self._connection = connection

    @classmethod
    def open(cls, folder: Path, *, patience: float = PATIENCE) -> Self:
        """The log in `folder`, both created if need be; waits `patience` seconds for others."""
        path = folder / FILE_NAME
        return cls(path, opening.open_for_writing(path, patience))

    @classmethod
    def read_only(cls, folder: Path, *, patience: float = PATIENCE) -> Self:
        """The log in `folder` to look at; an empty one, and nothing created, if there is none."""
        path = folder / FILE_NAME
        return cls(path, opening.open_for_reading(path, patience))

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
            writing.add(self._connection, self.path, attempt)

    def correct(
        self,
        attempt_id: str,
        *,
        outcome: Outcome | None = None,
        note: str | None = None,
        at: datetime | None = None,
    ) -> Attempt:
        """Changes outcome or note (None: leave it), keeps the earlier ones, returns the attempt.

        `at` is when it was corrected, this moment if None.
        """
        with in_a_sentence(self.path):
            return writing.correct(
                self._connection, self.path, attempt_id, outcome=outcome, note=note, at=at or now()
            )

    def attempts(
        self,
        *,
        part: str | None = None,
        score_digest: str | None = None,
        limit: int | None = None,
        newest_first: bool = True,
    ) -> list[Attempt]:
        """The attempts in order of time, at most `limit` from the start of that order.

        `part` is a part's id or its printed name, letter for letter. Raises
        RequestError for a negative limit.
        """
        with in_a_sentence(self.path):
            return reading.attempts(
                self._connection,
                self.path,
                part=part,
                score_digest=score_digest,
                limit=limit,
                newest_first=newest_first,
            )

    def last_tempo(
        self, score_digest: str, part_id: str, first: int, last: int
    ) -> LastTempo | None:
        """How the latest attempt of just these bars (ordinals) went; None if never tried."""
        with in_a_sentence(self.path):
            return reading.last_tempo(
                self._connection, self.path, score_digest, part_id, first, last
            )

    def revisions(self, attempt_id: str) -> list[Revision]:
        """What the attempt said before each correction, oldest first."""
        with in_a_sentence(self.path):
            return reading.revisions(self._connection, self.path, attempt_id)

    def check(self) -> list[str]:
        """A sentence for each thing wrong with the file; none when the log is whole."""
        return inspection.problems(self._connection, self.path)

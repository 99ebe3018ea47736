"""The running timer: one row, there from the moment it is started until it is an entry.

It outlives the process that started it. It becomes an entry, or is dropped, in one
transaction, so that its minutes are never there twice and never lost between the two.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from companion.journal.changes import add_revision, insert
from companion.journal.database import (
    ROW_FAULTS,
    JournalError,
    in_a_sentence,
    transaction,
    unreadable,
)
from companion.journal.fields import ENTRY, SqlRow
from companion.journal.value_forms import local_time, moment, writable
from companion.practice.entry import Activity, LogEntry
from companion.practice.timer import Timer

_COLUMNS = "id, what, note, started_utc, utc_offset, last_sign_utc, signs_every"
_LAST_NOTED = "SELECT max(at_utc) FROM attempt WHERE at_utc >= ?"


@dataclass(frozen=True, slots=True)
class Timers:
    """The timer of an open log. Every method raises JournalError as the log does."""

    log: sqlite3.Connection
    path: Path

    def running(self) -> Timer | None:
        """The timer that runs or was left behind; None if there is none.

        An attempt noted since it was started counts as a sign of life.
        """
        with in_a_sentence(self.path):
            return self._running()

    def start(self, timer: Timer) -> None:
        """Starts it: on disk when this returns. Refused while another one runs."""
        started, offset = moment(timer.started)
        row: SqlRow = {
            "id": timer.id,
            "what": timer.what.value,
            "note": writable(timer.note),
            "started_utc": started,
            "utc_offset": offset,
            "last_sign_utc": moment(timer.last_sign)[0] if timer.last_sign else None,
            "signs_every": float(timer.signs_every),
        }
        with in_a_sentence(self.path), transaction(self.log):
            if (other := self._running()) is not None:
                raise JournalError(
                    f"A timer for {other.what} has run since {other.started:%Y-%m-%d %H:%M}",
                    where=str(self.path),
                    next="Stop that one first, or drop it.",
                )
            insert(self.log, "timer", row)

    def stop(self, timer_id: str, as_entry: Callable[[Timer], LogEntry]) -> LogEntry:
        """Makes the running timer the entry that `as_entry` says it is; on disk on return."""
        with in_a_sentence(self.path), transaction(self.log):
            kept = add_revision(self.log, self.path, ENTRY, as_entry(self._just(timer_id)))
            self.log.execute("DELETE FROM timer")
            return kept

    def drop(self, timer_id: str) -> Timer:
        """Forgets the running timer."""
        with in_a_sentence(self.path), transaction(self.log):
            dropped = self._just(timer_id)
            self.log.execute("DELETE FROM timer")
            return dropped

    def _just(self, timer_id: str) -> Timer:
        timer = self._running()
        if timer is None or timer.id != timer_id:
            raise JournalError(
                "This timer runs no longer", where=str(self.path), next="Ask for its status."
            )
        return timer

    def _running(self) -> Timer | None:
        row = self.log.execute(f"SELECT {_COLUMNS} FROM timer").fetchone()
        if row is None:
            return None
        timer_id, what, note, started, offset, sign, every = row
        (noted,) = self.log.execute(_LAST_NOTED, (started,)).fetchone()
        signs = [text for text in (sign, noted) if text]
        try:
            return Timer(
                id=timer_id,
                what=Activity(what),
                note=note,
                started=local_time(started, offset),
                last_sign=local_time(max(signs), offset) if signs else None,
                signs_every=every,
            )
        except ROW_FAULTS as fault:
            raise unreadable(f"{self.path}, timer {timer_id}", fault) from fault

"""What the log is asked: which attempts, how a passage stands, what was corrected."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from companion.errors import RequestError
from companion.journal.row import (
    COLUMNS,
    REVISION_COLUMNS,
    Revision,
    from_row,
    revision_from_row,
)
from companion.practice.attempt import Attempt
from companion.practice.outcome import Outcome

_READ = f"SELECT {', '.join(COLUMNS)} FROM attempt"
_CHOSEN = (
    f"{_READ} WHERE (:part IS NULL OR part_id = :part OR part_name = :part)"
    " AND (:digest IS NULL OR score_digest = :digest)"
)
_NEWEST_FIRST = " ORDER BY at_utc DESC, seq DESC"
_OLDEST_FIRST = " ORDER BY at_utc, seq"
_OF_PASSAGE = " WHERE score_digest = ? AND part_id = ? AND first_bar = ? AND last_bar = ?"
_REVISIONS = (
    f"SELECT {', '.join(REVISION_COLUMNS)} FROM revision WHERE attempt_id = ? ORDER BY at_utc, seq"
)


@dataclass(frozen=True, slots=True)
class LastTempo:
    """Where a passage stands: the tempo it was last tried at, and how that went."""

    tempo: Fraction
    """Felt beats a minute."""
    beat: str
    """The note value of the beat."""
    outcome: Outcome
    """How it went."""


def attempts(
    log: sqlite3.Connection,
    path: Path,
    *,
    part: str | None,
    score_digest: str | None,
    limit: int | None,
    newest_first: bool,
) -> list[Attempt]:
    """The attempts in order of time, at most `limit` from the start of that order."""
    if limit is not None and limit < 0:
        raise RequestError(f"A list cannot have {limit} attempts", next="Ask for 0 or more.")
    order = _NEWEST_FIRST if newest_first else _OLDEST_FIRST
    chosen = {"part": part, "digest": score_digest, "limit": -1 if limit is None else limit}
    rows = log.execute(f"{_CHOSEN}{order} LIMIT :limit", chosen)
    return [from_row(row, path) for row in rows]


def find(log: sqlite3.Connection, path: Path, attempt_id: str) -> Attempt | None:
    """The attempt with this id, if it is in the log."""
    row = log.execute(f"{_READ} WHERE id = ?", (attempt_id,)).fetchone()
    return None if row is None else from_row(row, path)


def last_tempo(
    log: sqlite3.Connection, path: Path, score_digest: str, part_id: str, first: int, last: int
) -> LastTempo | None:
    """How the latest attempt of just these bars went; None if they were never tried."""
    passage = (score_digest, part_id, first, last)
    row = log.execute(f"{_READ}{_OF_PASSAGE}{_NEWEST_FIRST} LIMIT 1", passage).fetchone()
    if row is None:
        return None
    latest = from_row(row, path)
    return LastTempo(latest.tempo, latest.beat, latest.outcome)


def revisions(log: sqlite3.Connection, path: Path, attempt_id: str) -> list[Revision]:
    """What the attempt said before each correction, oldest first."""
    return [revision_from_row(row, path) for row in log.execute(_REVISIONS, (attempt_id,))]

"""What the log is asked: which attempts, how a passage stands, what was corrected."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import astuple, dataclass
from fractions import Fraction
from pathlib import Path

from companion.errors import RequestError
from companion.journal.rows import COLUMNS, CORRECTION_COLUMNS, correction_from_row, from_row
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.revision import Correction, revisions_in_order

_READ = f"SELECT {', '.join(COLUMNS)} FROM attempt"
_CHOSEN = (
    f"{_READ} WHERE (:part IS NULL OR part_id = :part OR part_name = :part)"
    " AND (:begin IS NULL OR part_id = :begin OR begins(part_name, :begin))"
    " AND (:digest IS NULL OR score_digest = :digest)"
)
_NEWEST_FIRST = " ORDER BY at_utc DESC, seq DESC"
_OLDEST_FIRST = " ORDER BY at_utc, seq"
_OF_PASSAGE = " WHERE score_digest = ? AND part_id = ? AND first_bar = ? AND last_bar = ?"
_CORRECTIONS = f"SELECT {', '.join(CORRECTION_COLUMNS)} FROM revision"


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
    part_begins: str | None,
    score_digest: str | None,
    limit: int | None,
    newest_first: bool,
) -> list[Attempt]:
    """The attempts in order of time, at most `limit` from the start of that order."""
    if limit is not None and limit < 0:
        raise RequestError(f"A list cannot have {limit} attempts", next="Ask for 0 or more.")
    order = _NEWEST_FIRST if newest_first else _OLDEST_FIRST
    chosen = {
        "part": part,
        "begin": part_begins,
        "digest": score_digest,
        "limit": -1 if limit is None else limit,
    }
    log.create_function("begins", 2, _begins, deterministic=True)
    rows = log.execute(f"{_CHOSEN}{order} LIMIT :limit", chosen)
    return [from_row(row, path) for row in rows]


def _begins(name: str, beginning: str) -> bool:
    return name.casefold().startswith(beginning.casefold())


def of_bars(log: sqlite3.Connection, path: Path, bars: Bars, limit: int | None) -> list[Attempt]:
    """The attempts at just this passage, newest first, at most `limit` of them."""
    passage = (*astuple(bars), -1 if limit is None else limit)
    rows = log.execute(f"{_READ}{_OF_PASSAGE}{_NEWEST_FIRST} LIMIT ?", passage)
    return [from_row(row, path) for row in rows]


def ids_like(log: sqlite3.Connection, beginning: str) -> list[tuple[str, str]]:
    """The attempts and entries whose id begins so, as ("attempt" or "entry", id)."""
    span = {"begin": beginning, "end": beginning + "g"}  # ids are written in hex
    return log.execute(
        "SELECT 'attempt', id FROM attempt WHERE id >= :begin AND id < :end UNION"
        " SELECT 'entry', entry_id FROM entry WHERE entry_id >= :begin AND entry_id < :end",
        span,
    ).fetchall()


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


def corrections(log: sqlite3.Connection, path: Path, attempt_id: str) -> list[Correction]:
    """What the attempt said before and after each correction, oldest first."""
    rows = log.execute(f"{_CORRECTIONS} WHERE attempt_id = ?", (attempt_id,))
    return revisions_in_order(correction_from_row(row, path) for row in rows)


def all_corrections(log: sqlite3.Connection, path: Path) -> dict[str, list[Correction]]:
    """The corrections of every attempt that has any, by its id."""
    found: dict[str, list[Correction]] = {}
    for attempt_id, *row in log.execute(
        f"SELECT attempt_id, {', '.join(CORRECTION_COLUMNS)} FROM revision ORDER BY seq"
    ):
        found.setdefault(attempt_id, []).append(correction_from_row(tuple(row), path))
    return found


def by_arrival(log: sqlite3.Connection, path: Path) -> Iterator[Attempt]:
    """Every attempt in the order in which it came into this log."""
    for row in log.execute(f"{_READ} ORDER BY seq"):
        yield from_row(row, path)

"""What the log is asked: attempts and corrections, how a passage stands, when was practice.

A day's plan asks about every passage there is; ten years are a hundred thousand attempts
but three thousand passages, so it is told of each at a glance, without reading every attempt.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import astuple, dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import islice
from pathlib import Path

from companion.errors import RequestError
from companion.journal.database import ROW_FAULTS
from companion.journal.fields import ATTEMPT, CORRECTION
from companion.journal.value_forms import local_time, moment, tempo_of
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.bounds import LONGEST, is_tempo
from companion.practice.practice_day import PracticeSpan
from companion.practice.revision import Correction, revisions_in_order

_READ = f"SELECT {', '.join(ATTEMPT.columns)} FROM attempt"
_CHOSEN = (
    f"{_READ} WHERE withdrawn = 0 AND (:part IS NULL OR part_id = :part OR part_name = :part)"
    " AND (:begin IS NULL OR part_id = :begin OR begins(part_name, :begin))"
    " AND (:digest IS NULL OR score_digest = :digest)"
)
_NEWEST_FIRST = " ORDER BY at_utc DESC, seq DESC"
_OLDEST_FIRST = " ORDER BY at_utc, seq"
_OF_PASSAGE = (
    " WHERE score_digest = ? AND part_id = ? AND first_bar = ? AND last_bar = ? AND withdrawn = 0"
)
_OF_SCORE_ALONE = " WHERE score_digest = ? AND withdrawn = 0"
_CORRECTIONS = f"SELECT {', '.join(CORRECTION.columns)} FROM revision"


@dataclass(frozen=True, slots=True)
class LastTempo:
    """Where a passage stands: the tempo it was last tried at, and how that went."""

    tempo: Fraction
    """Felt beats a minute."""
    beat: str
    outcome: Outcome


def attempts(
    log: sqlite3.Connection,
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
    return list(ATTEMPT.readable(rows))


def _begins(name: str, beginning: str) -> bool:
    return name.casefold().startswith(beginning.casefold())


def of_bars(log: sqlite3.Connection, bars: Bars, limit: int | None) -> list[Attempt]:
    """The attempts at just this passage, newest first, at most `limit` of them."""
    passage = (*astuple(bars), -1 if limit is None else limit)
    rows = log.execute(f"{_READ}{_OF_PASSAGE}{_NEWEST_FIRST} LIMIT ?", passage)
    return list(ATTEMPT.readable(rows))


def ids_like(log: sqlite3.Connection, beginning: str) -> list[tuple[str, str]]:
    """The attempts and entries whose id begins so, as ("attempt" or "entry", id)."""
    span = {"begin": beginning, "end": beginning + "g"}  # ids are written in hex
    return log.execute(
        "SELECT 'attempt', id FROM attempt WHERE id >= :begin AND id < :end UNION"
        " SELECT 'entry', entry_id FROM entry WHERE entry_id >= :begin AND entry_id < :end",
        span,
    ).fetchall()


def find(log: sqlite3.Connection, path: Path, attempt_id: str) -> Attempt | None:
    """The attempt with this id, if it is in the log, deleted or not."""
    row = log.execute(f"{_READ} WHERE id = ?", (attempt_id,)).fetchone()
    return None if row is None else ATTEMPT.from_row(row, path)


def last_tempo(
    log: sqlite3.Connection, score_digest: str, part_id: str, first: int, last: int
) -> LastTempo | None:
    """How the latest attempt of just these bars went; None if they were never tried."""
    rows = log.execute(f"{_READ}{_OF_PASSAGE}{_NEWEST_FIRST}", (score_digest, part_id, first, last))
    latest = next(ATTEMPT.readable(rows), None)
    return None if latest is None else LastTempo(latest.tempo, latest.beat, latest.outcome)


def corrections(log: sqlite3.Connection, attempt_id: str) -> list[Correction]:
    """What the attempt said before and after each correction, oldest first."""
    rows = log.execute(f"{_CORRECTIONS} WHERE attempt_id = ?", (attempt_id,))
    return revisions_in_order(CORRECTION.readable(rows))


def all_corrections(log: sqlite3.Connection) -> dict[str, list[Correction]]:
    """The corrections of every attempt that has any, by its id."""
    found: dict[str, list[Correction]] = {}
    for attempt_id, *row in log.execute(
        f"SELECT attempt_id, {', '.join(CORRECTION.columns)} FROM revision ORDER BY seq"
    ):
        found.setdefault(attempt_id, []).extend(CORRECTION.readable([tuple(row)]))
    return found


def by_arrival(log: sqlite3.Connection) -> Iterator[Attempt]:
    """Every attempt in the order in which it came into this log."""
    return ATTEMPT.readable(log.execute(f"{_READ} ORDER BY seq"))


# Each passage and each score at a glance.


_LATEST = (
    "SELECT p.score_digest, p.part_id, p.first_bar, p.last_bar, p.tries, p.stamp,"
    " a.at_utc, a.utc_offset, a.tempo, a.beat, a.outcome,"
    " a.score_title, a.score_path, a.part_name, a.bars_label"
    " FROM passage AS p JOIN attempt AS a ON a.seq = p.latest"
)
_STAMPS = "SELECT score_digest, part_id, first_bar, last_bar, stamp FROM passage"
_OF_SCORE = " WHERE p.score_digest = ?"
_IN_ORDER = " ORDER BY p.score_digest, p.part_id, p.first_bar, p.last_bar"

# max() also decides which row the other columns are from (SQLite, "Bare columns in an
# aggregate query").
_SCORES = (
    "SELECT p.score_digest, a.score_path, a.score_title, max(a.at_utc), a.utc_offset"
    " FROM passage AS p JOIN attempt AS a ON a.seq = p.latest"
    " GROUP BY p.score_digest ORDER BY max(a.at_utc) DESC LIMIT ?"
)


@dataclass(frozen=True, slots=True)
class PassageSummary:
    """A passage that has attempts, and the latest of them."""

    bars: Bars
    tries: int
    stamp: str
    """Drawn again whenever an attempt at it is added or corrected: while it is the same,
    whatever was worked out from the passage's attempts still holds."""
    last: datetime
    tempo: Fraction
    beat: str
    outcome: Outcome
    score_title: str
    """As the score named itself then."""
    score_path: str
    """Where the file lay then."""
    part_name: str
    bars_label: str


@dataclass(frozen=True, slots=True)
class ScoreSummary:
    """A score the log knows."""

    digest: str
    """Of the file's content."""
    path: Path
    """Where it lay when it was last practised."""
    title: str
    """As it named itself then."""
    last: datetime


def passages(log: sqlite3.Connection, score_digest: str | None) -> list[PassageSummary]:
    """Every passage with attempts, of one score or of all, in the order of the page."""
    asked = f"{_LATEST}{_OF_SCORE if score_digest else ''}{_IN_ORDER}"
    found = []
    for row in log.execute(asked, (score_digest,) if score_digest else ()):
        bars, (tries, stamp), (at, offset, tempo, beat, outcome) = (
            Bars(*row[:4]),
            row[4:6],
            row[6:11],
        )
        try:
            when, how, bpm = local_time(at, offset), Outcome(outcome), tempo_of(tempo)
            if not is_tempo(bpm):
                raise ValueError(tempo)
            found.append(PassageSummary(bars, tries, stamp, when, bpm, beat, how, *row[11:]))
        except ROW_FAULTS:  # named by `check`; the one before it serves
            earlier = of_bars(log, bars, None)[:1]
            found += [_summary(bars, tries, stamp, one) for one in earlier]
    return found


def _summary(bars: Bars, tries: int, stamp: str, latest: Attempt) -> PassageSummary:
    return PassageSummary(
        bars,
        tries,
        stamp,
        latest.at,
        latest.tempo,
        latest.beat,
        latest.outcome,
        latest.score_title,
        latest.score_path,
        latest.part_name,
        latest.bars_label,
    )


def stamps(log: sqlite3.Connection) -> dict[Bars, str]:
    """The stamp of every passage alone: all that a plan needs to see what changed."""
    return {Bars(*key): stamp for *key, stamp in log.execute(_STAMPS)}


_NO_LIMIT = -1


def scores(log: sqlite3.Connection, most: int | None) -> list[ScoreSummary]:
    """The scores practised last, each once, the latest first."""
    found = []
    for digest, where, title, at, offset in log.execute(
        _SCORES, (_NO_LIMIT if most is None else most,)
    ):
        try:
            found.append(ScoreSummary(digest, Path(where), title, local_time(at, offset)))
        except ROW_FAULTS:  # named by `check`; the one before it serves
            rows = log.execute(f"{_READ}{_OF_SCORE_ALONE}{_NEWEST_FIRST}", (digest,))
            found += [
                ScoreSummary(digest, Path(one.score_path), one.score_title, one.at)
                for one in islice(ATTEMPT.readable(rows), 1)
            ]
    return sorted(found, key=lambda one: one.last.timestamp(), reverse=True)


# When there was practice, for how long: read from an index, without the attempts themselves.


_WITHIN = "at_utc >= ? AND at_utc < ?"
_ATTEMPT_SPANS = (
    f"SELECT at_utc, utc_offset, seconds FROM attempt WHERE {_WITHIN} AND withdrawn = 0"
    " ORDER BY at_utc"
)
_ENTRY_SPANS = (
    f"SELECT at_utc, utc_offset, seconds FROM entry AS one WHERE {_WITHIN} AND withdrawn = 0"
    " AND NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.entry_id = one.entry_id"
    " AND (later.stated_utc, later.id) > (one.stated_utc, one.id))"
)
_EVER = ("", "a")
"""Before and after every time in the log, as text."""


def practice_spans(
    log: sqlite3.Connection, since: datetime | None, until: datetime | None
) -> list[PracticeSpan]:
    """The stretches of practice that end from `since` on and begin before `until`.

    Attempts and free entries; a free entry that ends a day after `until` may still begin
    before it.
    """
    begin = moment(since)[0] if since else _EVER[0]
    late = until + timedelta(seconds=LONGEST) if until else None
    end = moment(late)[0] if late else _EVER[1]
    rows = [
        *log.execute(_ATTEMPT_SPANS, (begin, end)).fetchall(),
        *log.execute(_ENTRY_SPANS, (begin, end)).fetchall(),
    ]
    found = list(_readable_spans(rows))
    if until is None:
        return found
    before = until.timestamp()
    return [span for span in found if span.ended - span.seconds < before]


def _readable_spans(rows: list[tuple[str, int, float]]) -> Iterator[PracticeSpan]:
    read = datetime.fromisoformat
    for at, offset, seconds in rows:
        try:
            if 0 <= seconds <= LONGEST and abs(offset) < LONGEST:
                yield PracticeSpan(read(at).timestamp(), offset, seconds)
        except ROW_FAULTS:  # named by `check`
            continue

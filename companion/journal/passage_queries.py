"""What the log knows of each passage and each score at a glance, without reading every attempt.

A day's plan asks about every passage there is; ten years are a hundred thousand attempts
but three thousand passages.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from pathlib import Path

from companion.journal.rows import local_time, tempo_of_row, unreadable
from companion.practice.attempt import Bars, Outcome

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
class Practised:
    """A passage that has attempts, and the latest of them."""

    bars: Bars
    """Which passage."""
    tries: int
    """How many attempts there are."""
    stamp: str
    """Drawn anew whenever an attempt at it is added or corrected: while it is the same,
    whatever was worked out from the passage's attempts still holds."""
    last: datetime
    """When the latest attempt ended."""
    tempo: Fraction
    """Its tempo, in felt beats a minute."""
    beat: str
    """The note value of the beat."""
    outcome: Outcome
    """How it went."""
    score_title: str
    """As the score named itself then."""
    score_path: str
    """Where the file lay then."""
    part_name: str
    """As printed."""
    bars_label: str
    """The bars as printed."""


@dataclass(frozen=True, slots=True)
class LatestOfScore:
    """A score the log knows."""

    digest: str
    """Of the file's content."""
    path: str
    """Where it lay when it was last practised."""
    title: str
    """As it named itself then."""
    last: datetime
    """When the latest attempt ended."""


def passages(log: sqlite3.Connection, path: Path, score_digest: str | None) -> list[Practised]:
    """Every passage with attempts, of one score or of all, in the order of the page."""
    asked = f"{_LATEST}{_OF_SCORE if score_digest else ''}{_IN_ORDER}"
    found = []
    for (
        digest,
        part,
        first,
        last,
        tries,
        stamp,
        at,
        offset,
        tempo,
        beat,
        outcome,
        *words,
    ) in log.execute(asked, (score_digest,) if score_digest else ()):
        bars = Bars(digest, part, first, last)
        try:
            when, how = local_time(at, offset), Outcome(outcome)
            found.append(
                Practised(bars, tries, stamp, when, tempo_of_row(tempo), beat, how, *words)
            )
        except (ValueError, ArithmeticError) as fault:
            raise unreadable(f"{path}, {words[0]} {words[3]}", fault) from fault
    return found


def stamps(log: sqlite3.Connection) -> dict[Bars, str]:
    """The stamp of every passage alone: all that a plan needs to see what changed."""
    return {Bars(*key): stamp for *key, stamp in log.execute(_STAMPS)}


def scores(log: sqlite3.Connection, path: Path, most: int) -> list[LatestOfScore]:
    """The scores practised last, each once, the latest first."""
    found = []
    for digest, where, title, at, offset in log.execute(_SCORES, (most,)):
        try:
            found.append(LatestOfScore(digest, where, title, local_time(at, offset)))
        except (ValueError, ArithmeticError) as fault:
            raise unreadable(f"{path}, {title}", fault) from fault
    return found

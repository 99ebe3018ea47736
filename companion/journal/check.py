"""Whether the log is whole: its pages, its ties between tables, and every entry in it."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from companion.journal.database import JournalError, in_a_sentence
from companion.journal.fields import CORRECTION
from companion.journal.queries import all_corrections, find
from companion.journal.timers import Timers
from companion.journal.unreadable_rows import unreadable_rows
from companion.practice.revision import replayed, words_of

_OUT_OF_STEP = """
    SELECT score_digest, part_id, first_bar, last_bar FROM (
        SELECT a.score_digest, a.part_id, a.first_bar, a.last_bar, count(*) AS counted,
            max(a.at_utc) AS last_utc
        FROM attempt AS a WHERE a.withdrawn = 0 GROUP BY 1, 2, 3, 4)
    LEFT JOIN passage AS p USING (score_digest, part_id, first_bar, last_bar)
    WHERE p.tries IS NOT counted
       OR (SELECT at_utc FROM attempt WHERE seq = p.latest) IS NOT last_utc
    UNION ALL
    SELECT score_digest, part_id, first_bar, last_bar FROM passage AS p
    WHERE NOT EXISTS (SELECT 1 FROM attempt AS a
        WHERE a.score_digest = p.score_digest AND a.part_id = p.part_id
          AND a.first_bar = p.first_bar AND a.last_bar = p.last_bar AND a.withdrawn = 0)
"""


def problems(log: sqlite3.Connection, path: Path) -> list[str]:
    """A sentence for each thing wrong; none when the log is whole."""
    found: list[str] = []
    for look in (_pages, _ties, _rows, _timer, _corrections, _passages):
        try:
            with in_a_sentence(path):
                found += look(log, path)
        except JournalError as fault:  # too damaged to be looked through
            found.append(fault.sentence())
    return list(dict.fromkeys(found))


def _pages(log: sqlite3.Connection, path: Path) -> list[str]:
    found = [" ".join(words.split()) for (words,) in log.execute("PRAGMA integrity_check")]
    return [f"{path}: The file is damaged: {words}." for words in found if words != "ok"]


def _ties(log: sqlite3.Connection, path: Path) -> list[str]:
    return [
        f"{path}: Row {row} of {table} speaks of a row of {other} that is not there."
        for table, row, other, _ in log.execute("PRAGMA foreign_key_check")
    ]


def _rows(log: sqlite3.Connection, path: Path) -> list[str]:
    found = [
        f"{path}: {one.why}. To delete it: companion log correct {one.name} --withdraw."
        for one in unreadable_rows(log, path)
    ]
    for row in log.execute(f"SELECT {', '.join(CORRECTION.columns)} FROM revision ORDER BY seq"):
        try:
            CORRECTION.from_row(row, path)
        except JournalError as fault:
            found.append(fault.sentence())
    return found


def _timer(log: sqlite3.Connection, path: Path) -> list[str]:
    Timers(log, path).running()
    return []


def _corrections(log: sqlite3.Connection, path: Path) -> list[str]:
    """Attempts that do not say what their corrections make of them."""
    found = []
    for attempt_id, corrections in all_corrections(log).items():
        attempt = find(log, path, attempt_id)
        if attempt is None:
            continue  # a tie, and told there
        words = words_of(attempt)
        if replayed(words, corrections) != words:
            found.append(
                f"{path}: Attempt {attempt_id} does not say what its corrections make of it."
            )
    return found


def _passages(log: sqlite3.Connection, path: Path) -> list[str]:
    return [
        f"{path}: What the log knows at a glance of bars @{first}–@{last} of part {part} is out"
        f" of step with the attempts at them (score {str(digest)[:8]})."
        for digest, part, first, last in log.execute(_OUT_OF_STEP)
    ]

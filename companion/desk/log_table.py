"""The log as a table for a spreadsheet: CSV as RFC 4180 has it, a line an attempt or entry.

It shows what holds now; what was corrected and when is in the JSON file, which is the one
that can be taken in again.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from datetime import time

from companion.practice.attempt import Attempt
from companion.practice.day import practice_day
from companion.practice.entry import Entry

HEADER = (
    *("day", "ended", "what", "score", "part", "bars", "first_bar", "last_bar"),
    *("tempo", "beat", "sounded", "times", "minutes", "outcome", "note", "id"),
)
"""The columns. A tempo is in felt beats a minute, a decimal; minutes as well."""


def table(attempts: Sequence[Attempt], entries: Sequence[Entry], ends: time) -> bytes:
    """The file's content in order of time; `ends` is when a practice day does."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(HEADER)
    both: list[Attempt | Entry] = [*attempts, *entries]
    practised = sorted(both, key=lambda one: one.at.timestamp())
    for one in practised:
        lines.writerow(_attempt(one, ends) if isinstance(one, Attempt) else _entry(one, ends))
    return text.getvalue().encode("utf-8")


def _attempt(attempt: Attempt, ends: time) -> tuple[object, ...]:
    return (
        practice_day(attempt.at, ends),
        attempt.at.isoformat(timespec="seconds"),
        "passage",
        attempt.score_title,
        attempt.part_name or attempt.part_id,
        attempt.bars_label,
        attempt.first_bar,
        attempt.last_bar,
        f"{float(attempt.tempo):.6g}",
        attempt.beat,
        " + ".join(attempt.layers),
        attempt.repetitions,
        _minutes(attempt.seconds),
        attempt.outcome.value,
        attempt.note,
        attempt.id,
    )


def _entry(entry: Entry, ends: time) -> tuple[object, ...]:
    of_a_passage = ("",) * 9
    day, ended = practice_day(entry.at, ends), entry.at.isoformat(timespec="seconds")
    minutes = _minutes(entry.seconds)
    return (day, ended, entry.what.value, *of_a_passage, minutes, "", entry.note, entry.id)


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.2f}"

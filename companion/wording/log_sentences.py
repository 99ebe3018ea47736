"""An attempt or a free entry in words, the same in the log's screen and in `companion log`."""

from __future__ import annotations

from companion.practice.attempt import Attempt
from companion.practice.entry import LogEntry
from companion.wording.phrases import bars_told, moment_told, tempo_told, times_told


def attempt_told(attempt: Attempt) -> str:
    """Everything about an attempt in one line."""
    played = bars_told(attempt.first_bar, attempt.last_bar, attempt.bars_label)
    pieces = (
        moment_told(attempt.at),
        attempt.score_title,
        attempt.part_name or attempt.part_id,
        played,
        tempo_told(attempt.beat, attempt.tempo),
        sounded_told(attempt),
        times_told(attempt.repetitions) if attempt.repetitions else "broken off",
        attempt.outcome.value,
        attempt.note,
    )
    return " · ".join(filter(None, pieces))


def entry_told(entry: LogEntry) -> str:
    """A free entry in one line: `2026-03-01 18:30 · scales · 20 minutes · in thirds`."""
    minutes = f"{round(entry.seconds / 60, 1):g}"
    length = f"{minutes} minute{'' if minutes == '1' else 's'}"
    return " · ".join(filter(None, (moment_told(entry.at), entry.what.value, length, entry.note)))


def sounded_told(attempt: Attempt) -> str:
    """What sounded meanwhile: `beat + mine, silent every 4 bars, with Cello`."""
    click = " + ".join(attempt.layers) or "no click"
    silent = f"silent {attempt.silences.removeprefix('silent ')}" if attempt.silences else ""
    along = " + ".join(attempt.accompaniment)
    return ", ".join(filter(None, (click, silent, along and f"with {along}")))

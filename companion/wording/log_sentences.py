"""An attempt or a free entry in words, the same in the log's screen and in `companion log`."""

from __future__ import annotations

from fractions import Fraction

from companion.practice.attempt import Attempt
from companion.practice.entry import LogEntry
from companion.wording.phrases import bars_told


def attempt_told(attempt: Attempt) -> str:
    """Everything about an attempt in one line."""
    played = bars_told(attempt.first_bar, attempt.last_bar, attempt.bars_label)
    pieces = (
        f"{attempt.at:%Y-%m-%d %H:%M}",
        attempt.score_title,
        attempt.part_name or attempt.part_id,
        played,
        attempt_tempo_told(attempt),
        sounded_told(attempt),
        _times_told(attempt),
        attempt.outcome.value,
        attempt.note,
    )
    return " · ".join(filter(None, pieces))


def entry_told(entry: LogEntry) -> str:
    """A free entry in one line: `2026-03-01 18:30 · scales · 20 minutes · in thirds`."""
    minutes = number_told(Fraction(entry.seconds) / 60)
    length = "1 minute" if minutes == "1" else f"{minutes} minutes"
    return " · ".join(
        filter(None, (f"{entry.at:%Y-%m-%d %H:%M}", entry.what.value, length, entry.note))
    )


def attempt_tempo_told(attempt: Attempt) -> str:
    """The tempo with its beat: `dotted quarter = 60`."""
    return f"{attempt.beat} = {number_told(attempt.tempo)}"


def sounded_told(attempt: Attempt) -> str:
    """What sounded meanwhile: `beat + mine, silent every 4 bars, with Cello`."""
    click = " + ".join(attempt.layers) or "no click"
    silent = f"silent {attempt.silences.removeprefix('silent ')}" if attempt.silences else ""
    along = " + ".join(attempt.accompaniment)
    return ", ".join(filter(None, (click, silent, along and f"with {along}")))


def number_told(number: Fraction) -> str:
    """A tempo with at most one decimal."""
    return f"{round(float(number), 1):g}"


def _times_told(attempt: Attempt) -> str:
    if attempt.repetitions == 0:
        return "broken off"
    return "once" if attempt.repetitions == 1 else f"{attempt.repetitions} times"

"""What an attempt, an entry, a goal or a date can say at most: one description for every way in.

Far beyond what a person practises, and small enough that nothing that reads the log has to
fear a value in it. What is outside of them is refused when it is made, so neither an import
nor a report can bring it in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction

LONGEST = 24 * 60 * 60
"""Seconds that one line of the log may last: more than a day at a stretch is a slip."""

_MOST_BARS = _MOST_TIMES = 1_000_000
_FASTEST = 10_000
"""Beats a minute: our own choice, far beyond what is played."""
_LONGEST_TEXT = 100_000
"""Letters of everything one line of the log says."""
_LATEST_MS = 3_600_000
"""Milliseconds early or late: an hour."""


def is_span(first: int, last: int) -> bool:
    """Whether these can be the first and the last bar of a passage, from 1."""
    return 0 < first <= last < _MOST_BARS


def is_tempo(tempo: Fraction) -> bool:
    """Whether it is a tempo, in felt beats a minute."""
    return 0 < tempo <= _FASTEST


def is_count(number: int) -> bool:
    """Whether something can have been played so many times."""
    return 0 <= number < _MOST_TIMES


def is_length(seconds: float) -> bool:
    """Whether practice can have lasted so long."""
    return math.isfinite(seconds) and 0 <= seconds <= LONGEST


def is_early_or_late(ms: float) -> bool:
    """Whether a note can have been so many milliseconds late, or early if below 0."""
    return math.isfinite(ms) and abs(ms) <= _LATEST_MS


def is_year(year: int) -> bool:
    """Whether the log can hold it. The calendar itself ends with 9999, and what is due after a
    long rest must lie in it too."""
    return 1900 <= year < 2200


def is_datable(at: datetime) -> bool:
    """Whether a time knows how far it is from UTC, in a year the log can hold."""
    return at.utcoffset() is not None and is_year(at.year)


def are_short(texts: Iterable[str]) -> bool:
    """Whether words, all of one thing, are few enough to be read again."""
    return sum(map(len, texts)) <= _LONGEST_TEXT

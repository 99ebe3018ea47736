"""The bars of one part of one score, by value: what attempts and goals are about.

By value, because a log outlives the score file; the name under which attempts at the
same passage find each other.
"""

from __future__ import annotations

from dataclasses import dataclass

from companion.practice.attempt import Attempt


@dataclass(frozen=True, slots=True, order=True)
class Bars:
    """A passage as the log knows it."""

    score_digest: str
    """Digest of the score file's content, lower-case hex."""
    part_id: str
    """The part's id inside its file."""
    first: int
    """Ordinal position of the first bar in the file, from 1."""
    last: int
    """Ordinal position of the last bar, which belongs to it."""


def bars_of(attempt: Attempt) -> Bars:
    """What the attempt was at."""
    return Bars(attempt.score_digest, attempt.part_id, attempt.first_bar, attempt.last_bar)

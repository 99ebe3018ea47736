"""When something was put into the log, and the identity of having done so.

What can change later (an entry, a goal, a date) is never overwritten: it is said again,
and the last saying holds. Two machines that said different things therefore both keep
their words, and agree on which of them is the last.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from companion.practice.attempt import is_identity, new_id, now


@dataclass(frozen=True, slots=True)
class Said:
    """One saying; ordered by time, then by identity, alike on every machine."""

    at: datetime = field(default_factory=now)
    """When it was said, with its UTC offset."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text."""


def faults_of_saying(said: Said) -> list[str]:
    """What is wrong with a saying, in words that follow "cannot be kept:"."""
    claims = (
        (is_datable(said.at), "the time it was said at is no time of day with a UTC offset"),
        (is_identity(said.id), "its saying has no random UUID written out in full"),
    )
    return [fault for holds, fault in claims if not holds]


def is_datable(at: datetime) -> bool:
    """Whether a time knows how far it is from UTC, in a year the log can hold."""
    return at.utcoffset() is not None and 1900 <= at.year < 9999

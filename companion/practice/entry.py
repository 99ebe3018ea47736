"""A free entry: practice that is no attempt at a passage, with its length.

Scales before, a rehearsal, a lesson, a score read on the train: they fill the day and
explain it, but say nothing about a passage, so they are never mixed up with attempts.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from companion.errors import RequestError
from companion.practice.attempt import is_identity, new_id, now
from companion.practice.bounds import are_short, is_datable, is_length
from companion.practice.revision import Revision, faults_of_revision


class Activity(StrEnum):
    """What was done; the words of the log."""

    SCALES = "scales"
    SIGHT_READING = "sight-reading"
    REHEARSAL = "rehearsal"
    LESSON = "lesson"
    AWAY = "away from the instrument"
    OTHER = "other"


def activity_named(word: str) -> Activity:
    """An activity by its word or the beginning of it. Raises RequestError naming them all."""
    wanted = word.strip().casefold()
    found = [activity for activity in Activity if activity.value.startswith(wanted)]
    if not wanted or len(found) != 1:
        raise RequestError(
            f"“{word}” is nothing the log has a word for",
            next=f"Choose one of: {', '.join(Activity)}.",
        )
    return found[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class LogEntry:
    """One free entry in its latest revision. Raises RequestError if it cannot be meant."""

    what: Activity
    seconds: float
    """How long, in seconds."""
    note: str = ""
    at: datetime = field(default_factory=now)
    """When it ended, with its UTC offset."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text: the same entry in every copy of the log, however corrected."""
    is_withdrawn: bool = False
    """Taken back: it counts no longer."""
    revision: Revision = field(default_factory=Revision)
    """The latest."""

    def __post_init__(self) -> None:
        for fault in _faults(self):
            raise RequestError(
                f"This entry cannot be kept: {fault}",
                where=str(self.what),
                next="Correct that and note it again.",
            )


def _faults(entry: LogEntry) -> list[str]:
    claims = (
        (
            is_length(entry.seconds),
            f"{entry.seconds / 60:g} minutes is too long or too short for one entry",
        ),
        (is_datable(entry.at), "its time says no year and no UTC offset that can be kept"),
        (are_short([entry.note]), "its note is too long"),
        (is_identity(entry.id), "its id is not a random UUID written out in full"),
    )
    return [fault for holds, fault in claims if not holds] + faults_of_revision(entry.revision)

"""A date that practice works towards: a concert, a lesson.

A day without a clock time, as it stands in a calendar: it is the same day in every zone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from companion.errors import RequestError
from companion.practice.attempt import is_identity, new_id
from companion.practice.said import Said, faults_of_saying


class Kind(StrEnum):
    """What the date is."""

    CONCERT = "concert"
    LESSON = "lesson"
    REHEARSAL = "rehearsal"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """A dated occasion as it was last said. Raises RequestError if it cannot be meant."""

    day: date
    """In the calendar of the place where it happens."""
    kind: Kind
    """What it is."""
    name: str = ""
    """The player's own name for it."""
    score_digest: str = ""
    """The score it is about, digest in lower-case hex; empty where it is about all."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text: the same occasion however often it is moved."""
    is_withdrawn: bool = False
    """Called off."""
    said: Said = field(default_factory=Said)
    """When it was last said so."""

    def __post_init__(self) -> None:
        for fault in _faults(self):
            raise RequestError(
                f"This date cannot be kept: {fault}",
                where=self.name or str(self.kind),
                next="Correct that and set it again.",
            )


def _faults(occasion: Occasion) -> list[str]:
    claims = (
        (1900 <= occasion.day.year < 9999, f"it is in the year {occasion.day.year}"),
        (re.fullmatch("[0-9a-f]*", occasion.score_digest), "its score has no digest in hex"),
        (is_identity(occasion.id), "its id is not a random UUID written out in full"),
    )
    return [fault for holds, fault in claims if not holds] + faults_of_saying(occasion.said)

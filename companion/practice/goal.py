"""A goal: the tempo at which a passage shall hold, and the date it shall hold by.

It carries its score, part and bars by value, as an attempt does, because a goal outlives
the score file; and its tempo never goes without its beat.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from companion.errors import RequestError
from companion.practice.attempt import Bars, is_identity, new_id
from companion.practice.bounds import are_short, is_span, is_tempo, is_year
from companion.practice.revision import Revision, faults_of_revision


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """A passage's goal in its latest revision. Raises RequestError if it cannot be meant."""

    bars: Bars
    score_title: str = ""
    part_name: str = ""
    bars_label: str = ""
    tempo: Fraction
    """Felt beats a minute, exact."""
    beat: str
    """The note value of the beat: "quarter", "dotted quarter"."""
    occasion: str | None = None
    """The id of the date it shall hold by; None if there is none."""
    is_withdrawn: bool = False
    revision: Revision = field(default_factory=Revision)
    """The latest."""

    def __post_init__(self) -> None:
        for fault in _faults(self):
            raise RequestError(
                f"This goal cannot be kept: {fault}",
                where=" ".join(filter(None, (self.score_title, self.bars_label))),
                next="Correct that and set it again.",
            )


def _faults(goal: Goal) -> list[str]:
    bars = goal.bars
    texts = (goal.score_title, goal.part_name, goal.bars_label, goal.beat, bars.part_id)
    claims = (
        (is_span(bars.first, bars.last), f"its bars run from {bars.first} to {bars.last}"),
        (is_tempo(goal.tempo), f"its tempo is {goal.tempo} beats a minute"),
        (goal.beat, "its tempo does not say which note value the beat is"),
        (bars.part_id, "it does not say which part is meant"),
        (re.fullmatch("[0-9a-f]+", bars.score_digest), "its score has no digest in hex"),
        (are_short(texts), "its words are too long"),
        (goal.occasion is None or is_identity(goal.occasion), "its date has no random UUID"),
    )
    return [fault for holds, fault in claims if not holds] + faults_of_revision(goal.revision)


# A date that practice works towards: a concert, a lesson.


class OccasionKind(StrEnum):
    """What the date is."""

    CONCERT = "concert"
    LESSON = "lesson"
    REHEARSAL = "rehearsal"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Occasion:
    """A dated occasion in its latest revision. Raises RequestError if it cannot be meant."""

    day: date
    """In the calendar of the place where it happens."""
    kind: OccasionKind
    name: str = ""
    score_digest: str = ""
    """The score it is about, digest in lower-case hex; empty if it is about all."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text: the same occasion however often it is moved."""
    is_withdrawn: bool = False
    revision: Revision = field(default_factory=Revision)
    """The latest."""

    def __post_init__(self) -> None:
        for fault in _faults_occasion(self):
            raise RequestError(
                f"This date cannot be kept: {fault}",
                where=self.name or str(self.kind),
                next="Correct that and set it again.",
            )


def _faults_occasion(occasion: Occasion) -> list[str]:
    claims = (
        (is_year(occasion.day.year), f"it is in the year {occasion.day.year}"),
        (are_short([occasion.name]), "its name is too long"),
        (re.fullmatch("[0-9a-f]*", occasion.score_digest), "its score has no digest in hex"),
        (is_identity(occasion.id), "its id is not a random UUID written out in full"),
    )
    return [fault for holds, fault in claims if not holds] + faults_of_revision(occasion.revision)

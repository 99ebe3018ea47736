"""When something was put into the log, and the identity of having done so.

What can change later (an entry, a goal, a date) is never overwritten: it is revised, and
the last revision holds. Two machines with different revisions therefore both keep theirs,
and agree on which of them is the last.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from companion.errors import RequestError
from companion.practice.attempt import Attempt, Outcome, is_identity, new_id, now
from companion.practice.bounds import are_short, is_datable


@dataclass(frozen=True, slots=True)
class Revision:
    """One revision; ordered by time, then by identity, alike on every machine."""

    at: datetime = field(default_factory=now)
    """With its UTC offset."""
    id: str = field(default_factory=new_id)
    """UUID version 4 as text."""


def faults_of_revision(revision: Revision) -> list[str]:
    """What is wrong with it, in words that follow "cannot be kept:"."""
    claims = (
        (is_datable(revision.at), "its revision has no date with a UTC offset that can be kept"),
        (is_identity(revision.id), "its revision has no random UUID written out in full"),
    )
    return [fault for holds, fault in claims if not holds]


# A correction of an attempt, and what an attempt says once all its corrections are played.


@dataclass(frozen=True, slots=True)
class CorrectedWords:
    """What can be corrected in an attempt."""

    outcome: Outcome
    note: str
    is_withdrawn: bool = False
    """Deleted: it counts no longer."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What an attempt said until it was corrected, and what it said from then on.

    Raises RequestError if it cannot be meant.
    """

    revision: Revision
    earlier: CorrectedWords
    later: CorrectedWords

    def __post_init__(self) -> None:
        faults = faults_of_revision(self.revision)
        if not are_short([self.earlier.note, self.later.note]):
            faults.append("its note is too long")
        for fault in faults:
            raise RequestError(
                f"This correction cannot be kept: {fault}",
                next="Correct that and note it again.",
            )


def revisions_in_order(corrections: Iterable[Correction]) -> list[Correction]:
    """The earliest first, alike on every machine."""
    return sorted(corrections, key=lambda one: (one.revision.at.timestamp(), one.revision.id))


def replayed(words: CorrectedWords, corrections: Iterable[Correction]) -> CorrectedWords:
    """What holds after the corrections; `words` where none of them touched a word."""
    for one in revisions_in_order(corrections):
        words = _changed(words, one.earlier, one.later)
    return words


def original(words: CorrectedWords, corrections: Iterable[Correction]) -> CorrectedWords:
    """What was said at first, by an attempt that says `words` after its corrections."""
    for one in reversed(revisions_in_order(corrections)):
        words = _changed(words, one.later, one.earlier)
    return words


def _changed(
    words: CorrectedWords, before: CorrectedWords, after: CorrectedWords
) -> CorrectedWords:
    """The words with what differs between two others as the second has it."""
    return CorrectedWords(
        words.outcome if after.outcome is before.outcome else after.outcome,
        words.note if after.note == before.note else after.note,
        words.is_withdrawn if after.is_withdrawn is before.is_withdrawn else after.is_withdrawn,
    )


def words_of(attempt: Attempt) -> CorrectedWords:
    """What an attempt says now."""
    return CorrectedWords(attempt.outcome, attempt.note, attempt.is_withdrawn)

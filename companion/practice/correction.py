"""A correction of an attempt, and what an attempt says once all its corrections are played.

Two machines may correct the same attempt without knowing of each other. Both corrections
are kept; word by word the later one holds, whichever log is joined to which, because what
an attempt says now follows from the set of its corrections and from nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from companion.practice.outcome import Outcome
from companion.practice.said import Said


@dataclass(frozen=True, slots=True)
class Words:
    """What can be corrected in an attempt."""

    outcome: Outcome
    """How it went."""
    note: str
    """The player's own words."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What an attempt said until it was corrected, and what it said from then on."""

    said: Said
    """When it was corrected."""
    earlier: Words
    """What stood there."""
    later: Words
    """What was put in its place."""


def in_order(corrections: Iterable[Correction]) -> list[Correction]:
    """The earliest first, alike on every machine."""
    return sorted(corrections, key=lambda one: (one.said.at.timestamp(), one.said.id))


def replayed(words: Words, corrections: Iterable[Correction]) -> Words:
    """What holds after the corrections; `words` where none of them touched a word."""
    outcome, note = words.outcome, words.note
    for one in in_order(corrections):
        if one.later.outcome is not one.earlier.outcome:
            outcome = one.later.outcome
        if one.later.note != one.earlier.note:
            note = one.later.note
    return Words(outcome, note)


def original(words: Words, corrections: Iterable[Correction]) -> Words:
    """What was said at first, by an attempt that says `words` after its corrections."""
    outcome, note = words.outcome, words.note
    for one in reversed(in_order(corrections)):
        if one.later.outcome is not one.earlier.outcome:
            outcome = one.earlier.outcome
        if one.later.note != one.earlier.note:
            note = one.earlier.note
    return Words(outcome, note)

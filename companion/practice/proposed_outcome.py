"""Which outcome a judgement comes to: what was heard, in the log's own words.

The shares of notes are common practice, no source; when a side counts as late, or scatter as
unsteady, is in `listening/judgement.py` with its sources. The player's own word stands beside it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from companion.practice.attempt import Heard, HeardBy, HeardSide, Outcome

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement

_FELL_APART = 0.25
"""Share of the notes left out from which it fell apart."""
_SHAKY = 0.05
"""Share of the notes left out, put in or far astray from which it was shaky."""
_SCATTER = 0.05
"""Seconds of spread, the most found in good ensembles, above which it was shaky."""
LEAST = 4
"""Notes that must be heard before anything is said."""
DRIFT = 0.03
"""Share by which a tempo changes before it is noticed (Drake & Botte, Percept. Psychophys. 54,
1993)."""


def proposed_outcome(judgement: Judgement) -> Outcome | None:
    """The outcome; None if too little was heard."""
    if judgement.heard < LEAST:
        return None
    certain = len(judgement.notes) - judgement.untold
    missed = len(judgement.missed) / certain
    if judgement.stops or missed > _FELL_APART:
        return Outcome.FELL_APART
    astray = len(judgement.astray) / certain
    added = len(judgement.added) / certain
    sides = judgement.sides
    if (
        judgement.broke_down
        or missed + added + astray > _SHAKY
        or any(side.spread > _SCATTER for side in sides)
        or any(side.is_off and abs(side.late) > side.window for side in sides)
    ):
        return Outcome.SHAKY
    if (
        judgement.missed
        or judgement.added
        or any(side.is_off or side.is_unsteady for side in sides)
        or abs(judgement.drift) > DRIFT
    ):
        return Outcome.HELD
    if not all(side.is_told for side in sides):
        return None
    return Outcome.SECURE


def heard(judgement: Judgement, by: HeardBy) -> Heard | None:
    """What the log keeps of a judgement; None if too little was heard."""
    outcome = proposed_outcome(judgement)
    if outcome is None:
        return None
    sides = tuple(
        HeardSide(side.name, round(side.late * 1000, 1), round(side.spread * 1000, 1), side.notes)
        for side in judgement.sides
        if side.notes and (side.is_told or side.is_reference)
    )
    return Heard(outcome, by, sides, len(judgement.missed), len(judgement.added))

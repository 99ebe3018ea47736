"""Where a player stands on a tempo ladder, after each attempt.

A file cannot know how an attempt went, so it climbs as if every one had held. Who plays
along is asked, and the answer alone moves the ladder; this is the whole of that rule.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from companion.click.tempo_plan import AfterFailing, Ladder


@dataclass(frozen=True, slots=True)
class Climb:
    """A place on a ladder."""

    rung: int = 0
    """Which of its tempos, from 0."""
    held: int = 0
    """Attempts that held there, since it was reached or since one failed."""


def climbed(ladder: Ladder, climb: Climb, *, has_held: bool) -> Climb:
    """The place after one more attempt; on the last rung one only goes on counting."""
    if has_held:
        on_top = climb.rung == len(ladder.rungs) - 1
        if climb.held + 1 >= ladder.each and not on_top:
            return Climb(climb.rung + 1)
        return replace(climb, held=climb.held + 1)
    if ladder.after_failing is AfterFailing.FROM_START:
        return Climb()
    if ladder.after_failing is AfterFailing.BACK_ONE:
        return Climb(max(0, climb.rung - 1))
    return Climb(climb.rung)


def tempo_on(ladder: Ladder, climb: Climb) -> Fraction:
    """Felt beats a minute there."""
    return ladder.rungs[climb.rung]


def is_climbed(ladder: Ladder, climb: Climb) -> bool:
    """Whether the goal has held as often as every step."""
    return climb.rung == len(ladder.rungs) - 1 and climb.held >= ladder.each

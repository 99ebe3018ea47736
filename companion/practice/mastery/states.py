"""What moves a passage up and down: one table of numbers, read by the judge and the wording.

The numbers are common practice without a source, except where one is named; how a time
through went is the player's own judgement (`Outcome`), never the program's.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from companion.practice.attempt import Outcome


class MasteryState(StrEnum):
    """How a passage stands, in the player's words; lowest first, then the one that waits."""

    NEW = "new"
    TAKING_SHAPE = "taking shape"
    WITH_CLICK = "holds with the click"
    HOLDS = "holds"
    READY = "ready"
    RETURN = "needs a return"

    @property
    def is_holding(self) -> bool:
        """Whether it holds at its goal tempo, with or without the click."""
        return self in (MasteryState.WITH_CLICK, MasteryState.HOLDS, MasteryState.READY)


@dataclass(frozen=True, slots=True)
class Rise:
    """What lifts a passage into a state: so many good days at the goal tempo."""

    to: MasteryState
    outcome: Outcome
    """What a time through has to be at least, at the goal tempo or above."""
    is_alone: bool
    """Whether only times through without the click count."""
    is_first: bool
    """Whether only the first such time through of a day counts: what was kept overnight."""
    days: int
    """Separate practice days on which it happened."""
    span: int
    """Days from the first of them to the last, at least."""


@dataclass(frozen=True, slots=True)
class Fall:
    """What brings a passage that holds down."""

    to: MasteryState
    slips: int
    """Practice days in a row on which it slipped: it failed at the goal tempo or slower, and
    did not hold at the goal tempo that day. 0 if time alone decides."""


RISES = (
    Rise(MasteryState.READY, Outcome.SECURE, True, True, 3, 7),
    Rise(MasteryState.HOLDS, Outcome.HELD, True, True, 2, 1),
    Rise(MasteryState.WITH_CLICK, Outcome.HELD, False, False, 2, 1),
)
"""The highest first; the first one that is met counts."""

FALLS = (
    Fall(MasteryState.TAKING_SHAPE, 2),
    Fall(MasteryState.RETURN, 1),
    Fall(MasteryState.RETURN, 0),
)
"""Looked at in this order; the first one that is met counts."""

THE_OTHERS = frozenset({"theirs", "coincidence", "drone"})
"""Layers that do not carry the player: the other side, where both meet, a held note."""

ANOTHER_PART = "rhythm:"
"""A layer that begins so is what another part plays: what a chamber player plays against."""

SILENT_BARS = "silent"
"""A layer so named, or beginning so, says that the click was silent for some bars; what
held through them held without the click."""


def is_alone(layers: tuple[str, ...]) -> bool:
    """Whether a time through was played without the click carrying it.

    A layer nobody knows counts as one that carries.
    """
    if any(name.startswith(SILENT_BARS) for name in layers):
        return True
    return all(name in THE_OTHERS or name.startswith(ANOTHER_PART) for name in layers)

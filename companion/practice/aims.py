"""What a passage is held against: its goal, or what stands for one where none is set.

Without a goal the log can only say that something was played. Where the player set none,
the fastest tempo that was ever tried is the yardstick, and is told as that.
"""

from __future__ import annotations

from datetime import date

from msgspec import Struct

from companion.practice.goal import Goal
from companion.practice.pace import Pace, pace_of


class Aims(Struct, frozen=True, gc=False, array_like=True):
    """A goal in the measure the log is judged by."""

    beat: str
    """The note value tempos are told in: the goal's, else the one noted last."""
    goal: Pace
    """The pace it is to hold at; without a goal the fastest that was ever tried."""
    is_set: bool
    """Whether the player set it."""
    concert: int | None = None
    """The day it must hold by, as an ordinal."""


def aims_of(goal: Goal, by: date | None) -> Aims:
    """What a goal asks for, by a concert or lesson where there is one."""
    concert = by.toordinal() if by else None
    return Aims(goal.beat, pace_of(goal.tempo, goal.beat), True, concert)


def aims_without_goal(fastest: Pace, beat: str) -> Aims:
    """What stands for a goal."""
    return Aims(beat, fastest, False)

"""A drill on its score, laid on the shared clock as it will be for the student."""

from __future__ import annotations

from dataclasses import dataclass

from companion.exercise.exercise import Drill
from companion.rhythm.conflicts import Conflict
from companion.score.address import find_bars, find_part
from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.lines import conflicts_of
from companion.score.opening import Opened
from companion.score.passage import Passage, passage


@dataclass(frozen=True, slots=True)
class Laid:
    """A drill on its score."""

    drill: Drill
    """What is asked for."""
    number: int
    """Which of the exercise, from 1."""
    opened: Opened
    """Its score."""
    clock: Clock
    """On the shared clock, tempo relations as the score and custom have them."""
    conflicts: tuple[Conflict, ...]
    """Where its parts pull."""
    passage: Passage
    """The student's part in the bars that are asked for."""


def lay_drill(drill: Drill, number: int, opened: Opened) -> Laid:
    """A drill on its opened score. Raises RequestError where its part or bars are not in it."""
    clock = lay(opened.score)
    part = find_part(opened.score, drill.part)
    bars = find_bars(clock, drill.bars) if drill.bars else (1, len(clock.bars))
    chosen = passage(clock, part, *bars)
    return Laid(drill, number, opened, clock, conflicts_of(clock), chosen)

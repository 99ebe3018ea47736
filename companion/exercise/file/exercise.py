"""An exercise as the rest of the program sees it: what to play, how, and when it is reached."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from companion.click.plan.layers import DEFAULT
from companion.click.plan.tempo_plan import TempoPlan
from companion.practice.attempt import Outcome


@dataclass(frozen=True, slots=True)
class DrillGoal:
    """When a drill is reached."""

    tempo: Fraction | None = None
    """Felt beats a minute; None for the end of the tempo plan."""
    outcome: Outcome = Outcome.HELD
    """This, or better."""
    times: int = 1
    """Times through on one day."""
    days: int = 1
    """On so many different days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExerciseDrill:
    """A passage with its click, its tempo plan and its goal. One of three sources is set."""

    title: str = ""
    pattern: str = ""
    score: str = ""
    """A score file, relative to the exercise file."""
    abc: str = ""
    key: str = ""
    """The key signature of a pattern; empty for none."""
    part: str = "1"
    """The student's part, by number or name."""
    bars: str = ""
    """`9-16`; empty for all."""
    tempo: TempoPlan | None = None
    """How fast; None for the score's own mark, or the customary tempo."""
    layers: tuple[str, ...] = tuple(DEFAULT)
    """In the words of the click, as `silences` and `fades`."""
    count_in: int = 1
    repeat: int | None = None
    """Times through; None for as many as the tempo plan takes."""
    silences: tuple[str, ...] = ()
    fades: tuple[str, ...] = ()
    seed: int = 0
    goal: DrillGoal = field(default_factory=DrillGoal)
    listen: str = ""
    shows: tuple[str, ...] = ()
    is_early: bool = False
    """Whether it comes from a file of format 1 or 2, whose patterns keep the scores they made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """What a teacher writes and a student opens."""

    title: str
    drills: tuple[ExerciseDrill, ...]
    """At least one."""
    whom: str = ""
    due: date | None = None
    level: int | None = None
    """How hard, 1–9."""
    instructions: str = ""
    """Markdown."""

    def named(self, number: int) -> str:
        """How drill `number`, from 1, is called: `Three over two: at the frog`."""
        own = self.drills[number - 1].title
        if own:
            return f"{self.title}: {own}"
        return self.title if len(self.drills) == 1 else f"{self.title} {number}"

"""An exercise as the rest of the program sees it: what to play, how, and when it is reached."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from companion.click.plan.layers import DEFAULT
from companion.click.plan.tempo_plan import TempoPlan
from companion.practice.attempt import Outcome


@dataclass(frozen=True, slots=True)
class Aim:
    """When a drill is reached."""

    tempo: Fraction | None = None
    """Felt beats a minute; None for the end of the tempo plan."""
    outcome: Outcome = Outcome.HELD
    """How it must go, or better."""
    times: int = 1
    """Times through on one day."""
    days: int = 1
    """On so many different days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExerciseDrill:
    """A passage with its click, its tempo plan and its goal. One of three sources is set."""

    title: str = ""
    """What it is called; may be empty."""
    pattern: str = ""
    """Notes in the short notation."""
    score: str = ""
    """A score file, relative to the exercise file."""
    abc: str = ""
    """Notes in ABC."""
    key: str = ""
    """The key signature of a pattern; empty for none."""
    part: str = "1"
    """The student's part, by number or name."""
    bars: str = ""
    """`9-16`; empty for all."""
    tempo: TempoPlan | None = None
    """How fast; None for the score's own mark, or the customary tempo."""
    layers: tuple[str, ...] = tuple(DEFAULT)
    """What the click sounds, in the words of the click."""
    count_in: int = 1
    """Bars counted in."""
    repeat: int | None = None
    """Times through; None for as many as the tempo plan takes."""
    silences: tuple[str, ...] = ()
    """Where the click leaves, in the words of the click."""
    fades: tuple[str, ...] = ()
    """Layers that come or go, in the words of the click."""
    seed: int = 0
    """Which shuffle random silences are."""
    aim: Aim = field(default_factory=Aim)
    """What is to be reached."""
    listen: str = ""
    """What to listen for."""
    shows: tuple[str, ...] = ()
    """What it is there to show."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Exercise:
    """What a teacher writes and a student opens."""

    title: str
    """Never empty."""
    drills: tuple[ExerciseDrill, ...]
    """At least one."""
    whom: str = ""
    """Whom it is for; may be empty."""
    due: date | None = None
    """By when."""
    level: int | None = None
    """How hard, 1–9."""
    instructions: str = ""
    """Markdown; may be empty."""

    def named(self, number: int) -> str:
        """How drill `number`, from 1, is called: `Three over two: at the frog`."""
        own = self.drills[number - 1].title
        if own:
            return f"{self.title}: {own}"
        return self.title if len(self.drills) == 1 else f"{self.title} {number}"

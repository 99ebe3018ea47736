"""Two made-up students who learn by practising and forget by waiting.

Neither is the scheduler's own model, so that the plan does not meet its own assumptions.

- `TwoProcesses`: one process learns fast and is gone by the next day, the other learns
  slowly and keeps; both learn from what is still missing (Smith, Ghazizadeh & Shadmehr,
  "Interacting adaptive processes with multiple timescales underlie short-term motor
  learning", PLoS Biology 4, 2006, e179; abstract read, the four numbers from memory). It is
  a model of hands. Its forgetting over days is a guess, and it never gets slower.
- `Traces`: every time through leaves a trace that fades as a power of time, faster where
  much was still fresh (Pavlik & Anderson, "Practice and forgetting effects on vocabulary
  memory", Cognitive Science 29, 2005, 559–586; abstract read, equations and numbers from
  memory). It is a model of words, but the strength it builds on was fitted to a rule that
  is applied as well (Anderson, Fincham & Douglass, J. Exp. Psychol. LMC 25, 1999, 1120–1136).

How strength becomes a tempo is a guess in both. Nothing here was measured on players.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from typing import Protocol

from companion.practice.attempt import Bars, Outcome

AT_SIGHT = 0.5
"""The share of the goal tempo that is held at first sight."""
CEILING = 1.3
"""The fastest anybody could learn to hold, as a share of the goal."""
HELP_OF_THE_CLICK = 1.05
"""How much faster one holds with the click than without."""
SPREAD = 0.06
"""How much one time through differs from the next."""


class Student(Protocol):
    """Somebody who can be asked to play."""

    def reach(self, bars: Bars, now: float) -> float:
        """The tempo a passage can be held at without the click, as a share of its goal."""

    def learn(self, bars: Bars, now: float) -> None:
        """Go once through a passage; `now` in days."""


class TwoProcesses:
    """A fast learner who forgets, and a slow one who keeps, in one pair of hands."""

    FAST, SLOW = 0.21, 0.02
    """Learnt from one time through, as a share of what is missing."""
    SLOW_KEEPS = 0.992
    """Kept from one day to the next, a guess: half is gone after twelve weeks."""
    FAST_KEEPS = 0.02
    """The same of the fast process: next to nothing."""

    def __init__(self, ease: Mapping[Bars, float]) -> None:
        self._ease = ease
        self._known: dict[Bars, tuple[float, float, float]] = {}

    def reach(self, bars: Bars, now: float) -> float:
        """See `Student`."""
        fast, slow = self._now(bars, now)
        return AT_SIGHT + (CEILING - AT_SIGHT) * min(1.0, fast + slow)

    def learn(self, bars: Bars, now: float) -> None:
        """See `Student`."""
        fast, slow = self._now(bars, now)
        missing = max(0.0, 1 - fast - slow) * self._ease[bars]
        self._known[bars] = (now, fast + self.FAST * missing, slow + self.SLOW * missing)

    def _now(self, bars: Bars, now: float) -> tuple[float, float]:
        at, fast, slow = self._known.get(bars, (now, 0.0, 0.0))
        return fast * self.FAST_KEEPS ** (now - at), slow * self.SLOW_KEEPS ** (now - at)


class Traces:
    """Somebody in whom every time through leaves a trace of its own."""

    SCALE, LEAST = 0.217, 0.177
    """Decay of a new trace: SCALE · e^strength + LEAST."""
    SLOWER_TIME = 0.025
    """Time between sessions counts so much less than time in them."""
    SECONDS = 86400.0

    def __init__(self, ease: Mapping[Bars, float]) -> None:
        self._ease = ease
        self._traces: dict[Bars, list[tuple[float, float]]] = {}

    def reach(self, bars: Bars, now: float) -> float:
        """See `Student`."""
        strength = self._strength(bars, now) + math.log(self._ease[bars])
        known = 1 / (1 + math.exp(-(strength + 0.45) / 0.4))
        return AT_SIGHT + (CEILING - AT_SIGHT) * known

    def learn(self, bars: Bars, now: float) -> None:
        """See `Student`."""
        decay = self.SCALE * math.exp(self._strength(bars, now)) + self.LEAST
        self._traces.setdefault(bars, []).append((now, decay))

    def _strength(self, bars: Bars, now: float) -> float:
        total = 0.0
        for at, decay in self._traces.get(bars, ()):
            nights = math.floor(now) - math.floor(at)
            seconds = (now - at - nights) * self.SECONDS if nights == 0 else 0.0
            total += max(40.0, seconds + nights * self.SECONDS * self.SLOWER_TIME) ** -decay
        return math.log(total) if total else -math.inf


def play(
    student: Student, bars: Bars, now: float, share: float, luck: random.Random, *, has_click: bool
) -> Outcome:
    """One time through at a share of the goal tempo, and what the student would say of it."""
    able = student.reach(bars, now) * (HELP_OF_THE_CLICK if has_click else 1.0)
    student.learn(bars, now)
    margin = able * math.exp(luck.gauss(0, SPREAD)) / share
    if margin >= 1.12:
        return Outcome.SECURE
    if margin >= 1.0:
        return Outcome.HELD
    return Outcome.SHAKY if margin >= 0.85 else Outcome.FELL_APART

"""What moves a passage up and down: one table, read by the judge, the app and the README.

The sentences are made from the numbers that decide, so that what is printed can never
differ from what is done. The numbers are common practice without a source, except where
one is named; the words are the player's own judgement (`Outcome`), never the program's.
"""

from __future__ import annotations

from collections.abc import Iterator
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
    """The state it reaches."""
    outcome: Outcome
    """What a time through has to be at least, at the goal tempo or above."""
    is_alone: bool
    """Whether only times through without the click count."""
    is_first: bool
    """Whether only the first such time through of a day counts: what was kept overnight."""
    days: int
    """On how many separate practice days."""
    span: int
    """Days from the first of them to the last, at least."""

    def when(self) -> str:
        """The rule as a sentence without its full stop."""
        how = "secure" if self.outcome is Outcome.SECURE else "held or secure"
        click = " without the click" if self.is_alone else ""
        first = ", at the first such time through of the day," if self.is_first else ""
        days = f"{self.days} separate days" + (
            f", the last at least {self.span} days after the first" if self.span > 1 else ""
        )
        return f"{how} at the goal tempo{click}{first} on {days}"


@dataclass(frozen=True, slots=True)
class Fall:
    """What brings a passage that holds down."""

    to: MasteryState
    """The state it falls to."""
    slips: int
    """Practice days in a row on which it slipped; 0 where time alone decides."""

    def when(self) -> str:
        """The rule as a sentence without its full stop."""
        if self.slips == 0:
            return "its day of return has come, and it has not held at the goal tempo since"
        if self.slips == 1:
            return f"it slipped on the day it was last played ({SLIP})"
        return f"it slipped on {self.slips} practice days in a row; earlier good days count no more"


SLIP = "it failed at the goal tempo or slower, and did not hold at the goal tempo that day"
"""What a slip is, of a passage that held at its goal on some day before."""

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


def rows() -> Iterator[tuple[str, str, str]]:
    """The whole table: which way, the state, and when."""
    yield "", MasteryState.NEW, "it was never tried"
    yield "up", MasteryState.TAKING_SHAPE, "it was tried"
    for rise in reversed(RISES):
        yield "up", rise.to, rise.when()
    for fall in reversed(FALLS):
        yield "down", fall.to, fall.when()


def as_markdown() -> str:
    """The table as the README prints it."""
    lines = ["| | the passage | when |", "|---|---|---|"]
    lines += [f"| {way} | **{state}** | {when} |" for way, state, when in rows()]
    return "\n".join(lines)

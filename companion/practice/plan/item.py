"""A day's plan: what to practise, in which order, for how long, and why.

Plain and complete in itself, so that it can be kept overnight: what was planned and not
played is known tomorrow, and an accepted plan stays as it was accepted.
"""

from __future__ import annotations

from enum import StrEnum

from msgspec import Struct

from companion.practice.bars import Bars


class Kind(StrEnum):
    """What an item of a plan is."""

    WARM_UP = "warm-up"
    RUN_THROUGH = "run-through"
    RETURN = "return"
    RUNG = "next rung"
    NEW = "new"
    BREAK = "break"


class Item(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One item of a plan."""

    kind: Kind
    """What it is."""
    minutes: int
    """How long."""
    why: str
    """Why, in a phrase."""
    bars: Bars | None = None
    """Which passage; None for warm-up and break."""
    title: str = ""
    """The score's title."""
    part_name: str = ""
    """The part's printed name."""
    label: str = ""
    """The bars as printed."""
    path: str = ""
    """Where the score lay last."""
    tempo: str = ""
    """Felt beats a minute, an exact fraction as text; empty where there is none."""
    beat: str = ""
    """The note value of the beat."""
    planned_on: str = ""
    """The day it was first planned for (ISO 8601), where it was carried over."""

    @property
    def is_passage(self) -> bool:
        """Whether it is about bars of a score."""
        return self.bars is not None


class Plan(Struct, frozen=True, kw_only=True):
    """What one practice day is for."""

    day: str
    """The practice day (ISO 8601)."""
    minutes: int
    """How long it was made for."""
    items: tuple[Item, ...]
    """In order."""
    spare: tuple[Item, ...] = ()
    """What would have come next: for replacing."""
    warnings: tuple[str, ...] = ()
    """What the player should know before beginning, in sentences."""
    is_accepted: bool = False
    """Whether the player took it as it is; only then is what is left undone carried over."""

"""One thing worth telling a player, with its bars and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Topic(StrEnum):
    """What a piece of advice is about; in the order in which a player can use them."""

    FORM = "form"
    CONFLICT = "conflict"
    GROUPING = "grouping"
    HEMIOLA = "hemiola"
    BARLINES = "barlines"
    FEEL = "change of feel"
    INTERLOCK = "interlock"
    ENTRANCE = "entrance"
    HANDED_ON = "handed on"
    RHYTHM = "same rhythm"
    DOUBLING = "doubling"


@dataclass(frozen=True, slots=True)
class Advice:
    """A sentence for one player."""

    topic: Topic
    """What it is about."""
    first: int
    """Ordinal position of the first bar it is about."""
    last: int
    """Ordinal position of the last."""
    text: str
    """One sentence, naming its bars."""
    weight: float
    """How much it matters among its kind; more is more."""
    is_heuristic: bool = False
    """Whether it is a reading of the score that a musician may see otherwise."""
    because: tuple[str, ...] = ()
    """Plain reasons for the weight, where there are any."""

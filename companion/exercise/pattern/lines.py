"""Lines of bars, as a pattern has them, and what can be wrong with them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from companion.errors import CompanionError
from companion.exercise.pattern.notation import UNPITCHED, Event, TempoWord
from companion.rhythm.meter import Meter


class PatternFault(NamedTuple):
    """One thing wrong in a pattern."""

    offset: int
    """Letters from the beginning of the pattern."""
    what: str
    """What is wrong, without a full stop."""
    advice: str = ""
    """What to do."""


class PatternError(CompanionError):
    """A pattern cannot be played as it is written."""

    def __init__(self, faults: Sequence[PatternFault]) -> None:
        self.faults = tuple(sorted(set(faults)))
        first = self.faults[0]
        super().__init__(first.what, where=f"letter {first.offset + 1}", next=first.advice)


@dataclass(frozen=True, slots=True)
class LineBar:
    """One bar of one line."""

    meter: Meter
    """In force."""
    events: tuple[Event, ...]
    """Its notes in order; none for a whole bar of rest."""
    tempos: tuple[TempoWord, ...] = ()
    """Tempo marks at its beginning."""
    is_pickup: bool = False
    """Whether it is shorter than its meter on purpose."""

    @property
    def length(self) -> Fraction:
        """Quarters it lasts."""
        filled = sum((event.length for event in self.events), Fraction(0))
        return filled if self.is_pickup else self.meter.length


@dataclass(frozen=True, slots=True)
class Line:
    """One part."""

    name: str
    """What stands before its colon, else `Line 1`."""
    bars: tuple[LineBar, ...]
    """In order."""

    @property
    def is_pitched(self) -> bool:
        """Whether any note has a pitch."""
        return any(event.pitch not in ("", UNPITCHED) for bar in self.bars for event in bar.events)

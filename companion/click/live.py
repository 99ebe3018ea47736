"""A click that is made while it plays, out of the plan alone.

Nothing is rendered ahead: another tempo, another mix or the thousandth time through costs
what one block costs, and any block has the very samples that a file of the same plan has
there. What changes is a new plan, handed over whole; a source never changes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from companion.click.kit import RATE, Kit
from companion.click.plan import Plan
from companion.click.samples import length, stretch
from companion.click.timetable import COUNTING


@dataclass(frozen=True, slots=True, eq=False)
class LiveClick:
    """A plan as a source of sound. Immutable; read it from any thread.

    It also tells where in the music a frame lies, and the way back, so that whoever plays
    along, or draws, agrees with it to the frame.
    """

    plan: Plan
    """What sounds."""
    rate: int = RATE
    """Frames a second."""
    is_endless: bool = True
    """Whether times through follow each other for ever; else as often as the plan says."""
    kit: Kit = field(init=False)
    """Its sounds."""

    def __post_init__(self) -> None:
        """Raises RequestError for a sample rate outside 16,000–192,000."""
        object.__setattr__(self, "kit", Kit(self.plan, self.rate))

    @property
    def length(self) -> int | None:
        """How many frames it lasts; None when it never ends."""
        return None if self.is_endless else length(self.plan, self.rate)

    def read(self, first: int, count: int) -> NDArray[np.int16]:
        """`count` frames from frame `first` on, shape (count, 2); silence outside the sound."""
        if count < 0:
            raise ValueError(f"cannot read {count} frames")
        made = stretch(self.plan, self.kit, first, count, is_endless=self.is_endless)
        return made.astype(np.int16, copy=False)

    def frame(self, number: int, into: Fraction) -> int:
        """The frame of a clock time after the beginning of a time through, from 0.

        In the count-in, COUNTING, `into` is counted from its own beginning.
        """
        return round(self.plan.timetable.seconds(number, into) * self.rate)

    def pass_at(self, frame: int) -> int:
        """The time through, from 0, that is on at a frame; COUNTING before the first."""
        table = self.plan.timetable
        number = table.number_at(Fraction(max(0, frame), self.rate))
        number += round(table.begin(number + 1) * self.rate) <= frame
        return number if self.is_endless else min(number, self.plan.repeat - 1)

    def place_at(self, frame: int) -> tuple[int, Fraction]:
        """The time through that is on at a frame, and how far into it, in clock time.

        `frame` of what comes back is the same frame again. In the count-in (COUNTING) it is
        counted from the count-in's own beginning; before the start it is that beginning.
        """
        number = self.pass_at(frame)
        table = self.plan.timetable
        seconds = Fraction(max(0, frame), self.rate) - table.begin(number)
        most = self.plan.count_in if number == COUNTING else self.plan.pass_length
        return number, min(table.pace(number).into_at(max(Fraction(0), seconds)), most)

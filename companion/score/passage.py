"""A passage: what one practises, one part over a span of bars."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from companion.errors import RequestError
from companion.rhythm.meter import Meter
from companion.score.clock import Bar, BarPlace, Clock


@dataclass(frozen=True, slots=True)
class Passage:
    """One part over a span of bars of a laid score."""

    clock: Clock
    part: int
    """Index of the player's part, from 0."""
    first: int
    last: int

    @property
    def bars(self) -> tuple[Bar, ...]:
        """The bars of the passage."""
        return self.clock.bars[self.first - 1 : self.last]

    @property
    def start(self) -> Fraction:
        """Clock time at which it begins."""
        return self.bars[0].start

    @property
    def end(self) -> Fraction:
        """Clock time at which it is over."""
        return self.bars[-1].end

    @property
    def part_id(self) -> str:
        """The source's id of the part."""
        return self.clock.score.parts[self.part].id

    @property
    def part_name(self) -> str:
        """The part's printed name."""
        return self.clock.score.parts[self.part].name

    def place(self, bar: Bar) -> BarPlace:
        """Where the part's own bar stands that sounds at the start of a bar of the score."""
        own = self.clock.own_bar_at(self.part, bar.start)
        return self.clock.places[self.part][own]

    @property
    def meter(self) -> Meter | None:
        """The part's meter in the first bar."""
        return self.clock.meter_at(self.part, self.bars[0])

    @property
    def beat(self) -> Fraction:
        """The part's felt beat in the first bar, in quarters; a quarter where unmeasured."""
        return self.meter.beat if self.meter else Fraction(1)

    @property
    def beat_on_clock(self) -> Fraction:
        """Clock time of that beat: what a tempo in beats a minute is counted in."""
        return self.beat * self.place(self.bars[0]).pace


def passage(clock: Clock, part: int, first: int, last: int) -> Passage:
    """A checked passage. Raises RequestError if the bars are not in the score."""
    count = len(clock.bars)
    if not 0 <= part < len(clock.score.parts):
        raise RequestError(f"there is no part {part + 1}")
    if not 1 <= first <= last <= count:
        raise RequestError(
            f"bars @{first}–@{last} are not in this score",
            where=clock.score.title,
            next=f"It has bars @1–@{count}.",
        )
    if not clock.places[part]:
        raise RequestError(
            f"{clock.score.parts[part].name} has no bars",
            where=clock.score.title,
            next="Choose another part.",
        )
    return Passage(clock, part, first, last)

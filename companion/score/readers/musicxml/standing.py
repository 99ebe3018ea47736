"""What stands in force in a part from bar to bar.

Meter, key and divisions hold until further notice. A change written inside a bar
belongs to the next one, because a bar has one meter: taking it at once would
measure a bar by a meter it was not written in.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct, field

from companion.rhythm.meter import parse
from companion.score.readers.musicxml.grid import Grid
from companion.score.readers.musicxml.slips import Slips


class Standing(Struct):
    """What a part carries from one bar into the next."""

    name: str
    """The part's name, for sentences."""
    grid: Grid
    """The score's ticks."""
    slips: Slips
    """Where to note what had to be mended."""
    unit: int
    """Ticks in one division; a quarter until the file says otherwise."""
    counted: dict[str | None, int | None] = field(default_factory=dict)
    """Ticks of what was counted in these divisions so far, by its text; None for no number."""
    is_uneven: bool = False
    """Whether a quarter is so odd a number of divisions that plain notes must be rounded."""
    meter: str | None = None
    """The meter in force."""
    bar_ticks: int = 0
    """Ticks in one full bar of the meter; 0 where unmeasured, or where no note could fill it."""
    has_time: bool = False
    """Whether any meter was stated."""
    fifths: int = 0
    """The key signature in force."""
    semitones: int | None = None
    """From written to sounding pitch, once stated."""
    staves: int = 1
    """Staves so far."""
    ending: tuple[int, ...] = ()
    """The ending under way."""
    starts_repeat: bool = False
    """Whether the right barline before began a repeated stretch."""
    next_meter: tuple[str | None] | None = None
    """A meter written inside the bar before, in a tuple of one."""
    next_fifths: int | None = None
    """A key signature written inside the bar before."""

    def set_unit(self, unit: int) -> None:
        """Count in other divisions."""
        self.unit = unit
        self.counted = {}
        divisions = self.grid.ticks // unit if unit else 0
        self.is_uneven = divisions > 8 and divisions % 8 != 0

    def set_meter(self, meter: str | None) -> None:
        """Put a meter in force."""
        self.meter = meter
        self.has_time = True
        ticks = parse(meter).length * self.grid.ticks if meter else Fraction(0)
        self.bar_ticks = int(ticks) if ticks.denominator == 1 else 0

    def cross_barline(self) -> None:
        """Put in force what the bar before announced."""
        if self.next_meter:
            self.set_meter(self.next_meter[0])
            self.next_meter = None
        if self.next_fifths is not None:
            self.fifths = self.next_fifths
            self.next_fifths = None

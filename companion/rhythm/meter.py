"""Meters as written, and the beats a player feels in them.

A tempo without its beat is a trap: "60" in 6/8 may mean eighths or dotted
quarters. Everything here therefore speaks of *felt* beats: a dotted quarter in
6/8, a quarter in 2/4 and 3/4, a half in 2/2, and unequal ones in additive meters.
All lengths are in written quarter notes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from companion.errors import RequestError

_PAIR = re.compile(r"([0-9]{1,4}(?:\+[0-9]{1,4})*)/([0-9]{1,4})")
_WHOLE = re.compile(rf"{_PAIR.pattern}(?:\+{_PAIR.pattern})*")

_NAMES = {
    Fraction(8): "breve",
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
}


class Meter(Struct, frozen=True, eq=False):
    """A meter and how it is felt. Meters are equal if they are written alike."""

    text: str
    """As written: `6/8`, additive `3+4/8`, several pairs joined `3/8+2/4`."""
    beats: tuple[Fraction, ...]
    """The felt beats of one bar in order, in quarters."""
    divisions: tuple[int, ...]
    """Into how many pulses each beat naturally falls: 3 in 6/8, 2 in 2/4, the group in 3+4/8."""
    length: Fraction
    """One full bar, in quarters: the sum of its beats."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Meter) and self.text == other.text

    def __hash__(self) -> int:
        return hash(self.text)

    @property
    def beat(self) -> Fraction:
        """The beat a tempo counts, in quarters; the first one where beats are unequal."""
        return self.beats[0]

    @property
    def is_even(self) -> bool:
        """Whether all beats last equally long."""
        return len(set(self.beats)) == 1

    @property
    def is_compound(self) -> bool:
        """Whether every beat falls into three (6/8, 9/8, 12/8 …)."""
        return self.is_even and set(self.divisions) == {3}

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=512)
def parse(text: str) -> Meter:
    """Read a meter as a score writes it.

    Raises RequestError if the text is no meter (zero, missing denominator …).
    """
    compact = text.replace(" ", "")
    if not _WHOLE.fullmatch(compact):
        raise RequestError(f"“{text}” is not a meter", next="Write it like 6/8, 3+4/8 or 3/8+2/4.")
    beats: list[Fraction] = []
    divisions: list[int] = []
    pairs = _PAIR.findall(compact)
    for top, bottom in pairs:
        groups = [int(n) for n in top.split("+")]
        unit = int(bottom)
        if unit == 0 or 0 in groups or sum(groups) > 1024 or unit > 1024:
            raise RequestError(f"“{text}” is not a meter", next="Its numbers must be 1 to 1024.")
        for length, division in _felt(groups, unit, alone=len(pairs) == 1):
            beats.append(length)
            divisions.append(division)
    return Meter(compact, tuple(beats), tuple(divisions), sum(beats, Fraction(0)))


def _felt(groups: list[int], unit: int, *, alone: bool) -> list[tuple[Fraction, int]]:
    """Beats of one pair. Common practice, no source: threes of a compound meter are one
    beat each; the groups of an additive meter in eighths or shorter are one beat each."""
    pulse = Fraction(4, unit)
    one = groups[0]
    if len(groups) > 1:
        if unit >= 8:
            return [(pulse * n, n) for n in groups]
        return [(pulse, 2)] * sum(groups)
    if one % 3 == 0 and one > 3:
        return [(pulse * 3, 3)] * (one // 3)
    if one == 3 and unit >= 8 and not alone:
        return [(pulse * 3, 3)]
    return [(pulse, 2)] * one


def note_name(length: Fraction) -> str:
    """The name of a note value lasting `length` quarters: `dotted quarter`, `half` …"""
    if length in _NAMES:
        return _NAMES[length]
    undotted = length * Fraction(2, 3)
    if undotted in _NAMES:
        return f"dotted {_NAMES[undotted]}"
    return f"{length} of a quarter" if length < 1 else f"{length} quarters"


# The lengths a meter counts in, and which of them a figure of another length pulls against.


LARGEST_NUMBER = 16
"""A ratio with a larger number is an ornament or an encoding quirk, not something one feels."""


@lru_cache(maxsize=64)
def levels(meter: Meter) -> Mapping[Fraction, str]:
    """The beat, the half bar and the bar, as far as the meter has them, in quarters.

    The pulse too where it is felt by itself, in compound and unequal beats; in simple ones
    a triplet would otherwise pull against the eighths that nobody plays.
    """
    found: dict[Fraction, str] = {}
    if meter.is_compound or not meter.is_even:
        found[meter.length / sum(meter.divisions)] = "pulse"
    if meter.is_even:
        found[meter.beat] = "beat"
        if len(meter.beats) % 2 == 0 and len(meter.beats) > 2:
            found[meter.length / 2] = "half bar"
    found.setdefault(meter.length, "bar")
    return found


@lru_cache(maxsize=4096)
def crossed(length: Fraction, meter: Meter) -> tuple[Fraction, str] | None:
    """The level that a group of this length does not fit and that is nearest to it in length.

    Three eighths pull against the four of a 2/4 bar, or of half a 4/4 bar; three 16ths
    against the four of a quarter. None if every level holds it or is held by it, or
    where the ratio has a number above 16.
    """
    unfit = [level for level in levels(meter) if 1 not in (level / length).as_integer_ratio()]
    if not unfit:
        return None
    nearest = min(unfit, key=lambda level: max(level / length, length / level))
    ratio = length / nearest
    if max(ratio.numerator, ratio.denominator) > LARGEST_NUMBER:
        return None
    return nearest, levels(meter)[nearest]

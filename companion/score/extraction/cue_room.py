"""Room on the staff for a cue: stems to one side, the player's own rests to the other.

Common practice, no source: a high cue has stems up and the rests under it, a low one
stems down and the rests above it; otherwise the rest is printed through the cue.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from lxml.etree import _Element

from companion.score.extraction.cue_pitch import LETTERS
from companion.score.extraction.cursor import walk
from companion.score.extraction.elements import make

_BELOW, _ABOVE = -6, 4
"""Diatonic steps from the middle line at which a rest stands clear of the staff's middle."""
_CLEAR = 4
"""Diatonic steps kept between a rest and the cue's last notehead."""


@dataclass(frozen=True, slots=True)
class Room:
    """How a cue and the player's rests share a staff."""

    stem: str
    """`up` or `down`."""
    rest: int
    """Diatonic step above C0 at which the player's rests are shown."""


def room(steps: Sequence[int], middle: int | None) -> Room | None:
    """Where a cue's stems and the player's rests go; None on a staff without pitches."""
    if middle is None or not steps:
        return None
    if median(steps) >= middle:
        return Room("up", min(middle + _BELOW, min(steps) - _CLEAR))
    return Room("down", max(middle + _ABOVE, max(steps) + _CLEAR))


def move_rests(measure: _Element, unit: Fraction, until: Fraction, step: int) -> None:
    """Show the player's rests that begin before a place at a step of the staff, unless the
    source already says where they stand."""
    for spot in walk(measure, unit).spots:
        rest = spot.element.find("rest") if spot.element.tag == "note" else None
        staff = spot.element.findtext("staff") or "1"
        if rest is None or spot.at >= until or staff != "1" or len(rest):
            continue
        if spot.element.find("cue") is None:
            rest.append(make("display-step", LETTERS[step % 7]))
            rest.append(make("display-octave", step // 7))

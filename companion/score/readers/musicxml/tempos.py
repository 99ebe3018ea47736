"""Metronome marks, and tempos meant for a player device.

A tempo always names its beat: `sound tempo` counts quarters whatever the meter,
a metronome mark counts the note it prints. Mixing the two is how 6/8 comes out
at two thirds of its speed.
"""

from __future__ import annotations

import re
from fractions import Fraction

from lxml.etree import _Element

from companion.score.model import TempoMark
from companion.score.readers.musicxml.grid import QUARTERS
from companion.score.readers.musicxml.openbar import OpenBar
from companion.score.readers.musicxml.text import decimal, tidy, whole

FASTEST = 10_000
_NUMBER = re.compile(r"(?<!\d)\d{1,5}(?!\d)(?:[.,]\d{1,6})?", re.ASCII)
_MINUS = frozenset("-−")
_QUARTER = Fraction(1)


def read_metronome(bar: OpenBar, element: _Element, onset: int) -> None:
    """Add a <metronome>: a beat and its number, or two note values."""
    sides = _note_groups(element) if element.find("metronome-note") is not None else _units(element)
    text = element.findtext("per-minute")
    if not sides:
        bar.slip("a metronome mark without a readable note value was left out")
    elif len(sides) > 1:
        bar.tempos.append(TempoMark(onset, sides[0], None, sides[1]))
    elif text is not None:
        _per_minute(bar, sides[0], text, onset)


def read_sound_tempo(bar: OpenBar, text: str, onset: int) -> None:
    """Add a `sound tempo`, in quarters a minute."""
    speed = decimal(text)
    if speed is None or not 0 < speed <= FASTEST:
        bar.slip(f"a tempo of “{tidy(text, 20)}” was left out")
        return
    bar.tempos.append(TempoMark(onset, _QUARTER, speed, None, False))


def _per_minute(bar: OpenBar, beat: Fraction, text: str, onset: int) -> None:
    """The number of a metronome mark: `72`, `c. 72`, `66.5`; the first of `72-76`."""
    is_negative = text.strip()[:1] in _MINUS
    numbers = [] if is_negative else _NUMBER.findall(text)
    speed = Fraction(numbers[0].replace(",", ".")) if numbers else Fraction(0)
    if not 0 < speed <= FASTEST:
        bar.slip(f"a metronome mark “{tidy(text, 20)}” without a usable number was left out")
        return
    if len(numbers) > 1:
        bar.slip(f"the metronome mark “{tidy(text, 20)}” was read as {numbers[0]}")
    bar.tempos.append(TempoMark(onset, beat, speed))


def _units(element: _Element) -> list[Fraction]:
    """Note values of the plain form, each with its dots and tied notes, in quarters."""
    sides: list[Fraction] = []
    last = Fraction(0)
    for child in element.iter("beat-unit", "beat-unit-dot"):
        if child.tag == "beat-unit-dot":
            last /= 2
        else:
            last = QUARTERS.get((child.text or "").strip(), Fraction(0))
            if not last:
                return []
            parent = child.getparent()
            if not sides or parent is element:
                sides.append(Fraction(0))
        if sides:
            sides[-1] += last
    return sides


def _note_groups(element: _Element) -> list[Fraction]:
    """Sums of the written-out notes on the left and right of the relation, in quarters."""
    sides = [Fraction(0)]
    for child in element:
        if child.tag == "metronome-relation":
            sides.append(Fraction(0))
        elif child.tag == "metronome-note":
            sides[-1] += _metronome_note(child)
    return sides if len(sides) == 2 and all(sides) else []


def _metronome_note(element: _Element) -> Fraction:
    """Quarters of one <metronome-note>; 0 where it names no note."""
    plain = QUARTERS.get((element.findtext("metronome-type") or "").strip(), Fraction(0))
    dots = min(len(element.findall("metronome-dot")), 8)
    value = plain * (2 - Fraction(1, 2**dots))
    tuplet = element.find("metronome-tuplet")
    if tuplet is None:
        return value
    actual = whole(tuplet.findtext("actual-notes"), 1, 1024)
    normal = whole(tuplet.findtext("normal-notes"), 1, 1024)
    return value * normal / actual if actual and normal else value

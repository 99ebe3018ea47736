"""Where each element of a measure stands, and how to put a new one at a place.

MusicXML moves a cursor through the bar (`note`, `backup`, `forward`) and counts in
divisions of the quarter that may change from part to part. Everything here speaks of
exact quarters after the barline, so that nothing lands a division off its beat.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from lxml.etree import _Element

from companion.part.xml_elements import make
from companion.score.readers.musicxml.attributes import divisions_of
from companion.score.readers.musicxml.text import decimal

_MOVES = ("note", "backup", "forward")
_HEAD = ("print", "bookmark", "link", "listening")
"""What may stand before a left barline (barline in musicxml.xsd)."""
_CLOSE = Fraction(1, 64)
"""Quarters; files that round triplets off miss their true places by less."""


@dataclass(frozen=True, slots=True)
class MeasurePlace:
    """One child of a measure."""

    element: _Element
    """The child."""
    at: Fraction
    """Quarters after the barline at which the cursor stands before it."""
    unit: Fraction
    """Divisions of the quarter in force."""


@dataclass(frozen=True, slots=True)
class Walk:
    """A measure walked through once."""

    spots: tuple[MeasurePlace, ...]
    """Its children in order."""
    end: Fraction
    """Where the cursor stands after the last of them, in quarters."""
    reach: Fraction
    """The furthest it came, in quarters."""
    unit: Fraction
    """Divisions in force at the end."""


def walk_measure(measure: _Element, unit: Fraction) -> Walk:
    """Walk through a measure that begins with `unit` divisions to the quarter."""
    at = reach = begun = Fraction(0)
    spots: list[MeasurePlace] = []
    for child in measure:
        if child.tag == "attributes":
            unit = divisions_of(child.findtext("divisions")) or unit
        onset = begun if child.tag == "note" and child.find("chord") is not None else at
        spots.append(MeasurePlace(child, onset, unit))
        step = _step(child, unit)
        if child.tag == "note" and onset == at:
            begun = at
        at = max(Fraction(0), at + step)
        reach = max(reach, at)
    return Walk(tuple(spots), at, reach, unit)


def _step(child: _Element, unit: Fraction) -> Fraction:
    """Quarters by which a child moves the cursor."""
    if child.tag not in _MOVES or child.find("chord") is not None:
        return Fraction(0)
    quarters = (decimal(child.findtext("duration")) or Fraction(0)) / unit
    return -quarters if child.tag == "backup" else quarters


def units(measures: Iterable[_Element | None]) -> list[Fraction]:
    """Divisions in force for the first note of each measure; None for one that is left out."""
    unit = Fraction(1)
    found: list[Fraction] = []
    for measure in measures:
        first = unit
        has_begun = False
        for child in measure if measure is not None else ():
            has_begun = has_begun or child.tag in _MOVES
            if child.tag == "attributes":
                unit = divisions_of(child.findtext("divisions")) or unit
                first = first if has_begun else unit
        found.append(first)
    return found


def offset_of(element: _Element, unit: Fraction, *, is_heard: bool) -> Fraction:
    """Quarters by which a <direction> or <sound> stands away from the cursor.

    What a direction does happens at the cursor unless its offset says `sound="yes"`
    (musicxml.xsd 3.1, offset); where it is seen is always moved.
    """
    offset = element.find("offset")
    if offset is None:
        return Fraction(0)
    is_moved = element.tag == "sound" or not is_heard or offset.get("sound") == "yes"
    return (decimal(offset.text) or Fraction(0)) / unit if is_moved else Fraction(0)


def countable(at: Fraction, unit: Fraction) -> Fraction:
    """The place itself where whole divisions come close enough, else the left barline."""
    nearest = round(at * unit) / unit
    return nearest if abs(nearest - at) < _CLOSE else Fraction(0)


def insert(measure: _Element, unit: Fraction, element: _Element, at: Fraction) -> None:
    """Put a <direction> or <sound> at a place, before the note that begins there.

    Where none does, it stands before the one under way, with an <offset>; a place that
    whole divisions cannot count becomes the left barline.
    """
    walked = walk_measure(measure, unit)
    last: MeasurePlace | None = None
    for spot in walked.spots:
        if spot.element.tag not in _MOVES or spot.element.find("chord") is not None:
            continue
        if abs(spot.at - at) < _CLOSE:
            spot.element.addprevious(element)
            return
        if spot.at > at or spot.element.tag == "backup":
            break
        last = spot
    if last is None:
        insert_last(measure, element)
        return
    distance = (at - last.at) * last.unit
    if distance.denominator == 1:
        _set_offset(element, int(distance))
        last.element.addprevious(element)
    else:
        first = next(spot for spot in walked.spots if spot.element.tag in _MOVES)
        first.element.addprevious(element)


def insert_first(measure: _Element, element: _Element) -> None:
    """Put an element at the left barline, after layout and the barline themselves."""
    index = head_of(measure)
    while index < len(measure) and measure[index].tag in ("barline", "attributes"):
        if measure[index].get("location", "right") != "left" and measure[index].tag == "barline":
            break
        index += 1
    measure.insert(index, element)


def head_of(measure: _Element) -> int:
    """Index of the first child that is not layout."""
    index = 0
    while index < len(measure) and measure[index].tag in _HEAD:
        index += 1
    return index


def insert_last(measure: _Element, element: _Element) -> None:
    """Put an element at the end of the first voice, before the right barline."""
    for child in measure:
        is_right = child.tag == "barline" and child.get("location", "right") == "right"
        if child.tag == "backup" or is_right:
            child.addprevious(element)
            return
    measure.append(element)


def _set_offset(element: _Element, divisions: int) -> None:
    """An <offset> where the schema wants it: after the printed matter, before the rest."""
    if divisions == 0:
        return
    if element.tag == "sound":
        element.append(make("offset", divisions))
        return
    printed = element.findall("direction-type")
    printed[-1].addnext(make("offset", divisions, attributes={"sound": "yes"}))

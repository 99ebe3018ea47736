"""Repeats, endings and double barlines that only another part carries.

A player without them reads on where the others go back. Each is added at the same
barline, unless the part already says the same there or (for a repeat that closes) at
the left barline of the next bar.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from lxml.etree import _Element

from companion.part.measure_cursor import head_of
from companion.part.sheet import Sheet
from companion.part.xml_elements import make, transplanted

_ORDER = (
    "bar-style",
    "footnote",
    "level",
    "wavy-line",
    "segno",
    "coda",
    "fermata",
    "ending",
    "repeat",
)
"""Children of <barline> in the order of musicxml.xsd."""
_BORROWED = ("bar-style", "segno", "coda", "ending", "repeat")


@dataclass(frozen=True, slots=True)
class _Line:
    """One barline of one part."""

    where: Fraction
    """The same number for barlines that stand together."""
    element: _Element
    """The <barline>."""


def borrow_barlines(sheet: Sheet) -> Counter[str]:
    """Add what others' barlines say. Gives how many repeats and endings were added."""
    own = sheet.clock.places[sheet.own]
    lefts = {_where(sheet, sheet.own, bar, is_left=True): bar for bar in reversed(range(len(own)))}
    rights = {_where(sheet, sheet.own, bar, is_left=False): bar for bar in range(len(own))}
    there = {
        (key, line.where)
        for line in _lines(sheet, sheet.own, list(sheet.measures))
        for key in _keys(line.element)
    }
    added: Counter[str] = Counter()
    for other, measures in sheet.others.items():
        for line in _lines(sheet, other, measures):
            is_left = line.element.get("location") == "left"
            bar = (lefts if is_left else rights).get(line.where)
            if bar is None:
                continue
            for child in line.element:
                key = _key(child)
                if child.tag in _BORROWED and (key, line.where) not in there:
                    there.add((key, line.where))
                    _add(sheet.element[bar], child, is_left=is_left)
                    added["repeats and endings"] += child.tag in ("ending", "repeat")
    return +added


def _lines(sheet: Sheet, part: int, measures: list[_Element | None]) -> Iterator[_Line]:
    for bar, measure in enumerate(measures[: len(sheet.clock.places[part])]):
        for element in measure.iterchildren("barline") if measure is not None else ():
            location = element.get("location", "right")
            if location in ("left", "right"):
                yield _Line(_where(sheet, part, bar, is_left=location == "left"), element)


def _where(sheet: Sheet, part: int, bar: int, *, is_left: bool) -> Fraction:
    if sheet.clock.barlines_coincide:
        return Fraction(bar if is_left else bar + 1)
    place = sheet.clock.places[part][bar]
    return place.start if is_left else place.end


def _keys(line: _Element) -> Iterator[str]:
    for child in line:
        yield _key(child)


def _key(child: _Element) -> str:
    """What a part of a barline says; the same for all ways of saying it."""
    if child.tag == "repeat":
        return f"repeat {child.get('direction')}"
    if child.tag == "ending":
        return "ending starts" if child.get("type") == "start" else "ending stops"
    return str(child.tag)


def _add(measure: _Element, child: _Element, *, is_left: bool) -> None:
    location = "left" if is_left else "right"
    line = next(
        (one for one in measure.iterfind("barline") if one.get("location", "right") == location),
        None,
    )
    if line is None:
        line = make("barline", attributes={"location": location})
        if is_left:
            measure.insert(head_of(measure), line)
        else:
            measure.append(line)
    copy = transplanted(child)
    copy.attrib.pop("print-object", "")
    rank = _ORDER.index(str(copy.tag))
    index = sum(_ORDER.index(str(other.tag)) <= rank for other in line)
    line.insert(index, copy)

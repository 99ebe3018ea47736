"""Multi-bar rests, counted out as a player counts them.

A run of empty bars is broken wherever the player has to notice something: a new meter,
key or clef, a rehearsal mark or any words, a repeat or double barline, a cue.
"""

from __future__ import annotations

from collections import Counter

from lxml.etree import _Element

from companion.part.measure_cursor import insert_first, walk_measure
from companion.part.player_entrances import length_in_quarters, movement_at
from companion.part.sheet import Sheet
from companion.part.xml_elements import make

_FEWEST = 2
_SILENT = {"rest", "duration", "voice", "type", "dot", "staff", "instrument", "lyric"}
"""What a rest may hold without asking for the player's attention."""
_INVISIBLE = {"backup", "forward", "print", "grouping", "bookmark", "link", "sound"}
_UNNOTICED = {"divisions", "instruments", "measure-style"}
"""Attributes a player does not see."""


def count_rests(sheet: Sheet) -> Counter[str]:
    """Put a multi-bar rest at every run of two empty bars or more. Those of the source are
    made again, as marks and cues have come in between. Gives how many there are."""
    _forget(sheet)
    found = 0
    run: list[int] = []
    for bar in range(len(sheet.measures)):
        if run and (not _is_empty(sheet, bar) or _begins_something(sheet, bar)):
            found += _close(sheet, run)
            run = []
        if _is_empty(sheet, bar):
            run.append(bar)
    found += _close(sheet, run)
    return +Counter({"multi-bar rests": found})


def _forget(sheet: Sheet) -> None:
    for style in list(sheet.element.iterfind("measure/attributes/measure-style")):
        rest = style.find("multiple-rest")
        attributes = style.getparent()
        if rest is None or attributes is None:
            continue
        attributes.remove(style)
        measure = attributes.getparent()
        if len(attributes) == 0 and measure is not None:
            measure.remove(attributes)


def _close(sheet: Sheet, run: list[int]) -> int:
    if len(run) < _FEWEST:
        return 0
    style = make("measure-style", None, (make("multiple-rest", len(run)),))
    measure = sheet.element[run[0]]
    head = measure.find("attributes")
    if head is not None:
        head.append(style)
    else:
        insert_first(measure, make("attributes", None, (style,)))
    return 1


def _is_empty(sheet: Sheet, bar: int) -> bool:
    """Whether a bar can be one of many: full, with nothing in it but rests, and nothing
    said once it has begun."""
    measure = sheet.element[bar]
    if measure.get("implicit") == "yes" or not _is_full(sheet, bar):
        return False
    for spot in walk_measure(measure, sheet.units[bar]).spots:
        tag = spot.element.tag
        if tag == "note" and not {child.tag for child in spot.element} <= _SILENT:
            return False
        if spot.at and tag not in ("note", "barline") and tag not in _INVISIBLE:
            return False
        if tag in ("harmony", "figured-bass"):
            return False
    return True


def _is_full(sheet: Sheet, bar: int) -> bool:
    place = sheet.clock.places[sheet.own][bar]
    return place.meter is not None and length_in_quarters(place) == place.meter.length


def _begins_something(sheet: Sheet, bar: int) -> bool:
    """Whether the player must notice the barline before a bar."""
    if movement_at(sheet.clock, sheet.own, bar) != movement_at(sheet.clock, sheet.own, bar - 1):
        return True
    measure, before = sheet.element[bar], sheet.element[bar - 1]
    shown = {child.tag for attributes in measure.iterfind("attributes") for child in attributes}
    if measure.find("direction") is not None or shown - _UNNOTICED:
        return True
    return _has_line(measure, "left") or _has_line(before, "right")


def _has_line(measure: _Element, location: str) -> bool:
    return any(
        line.get("location", "right") == location and _is_special(line)
        for line in measure.iterfind("barline")
    )


def _is_special(line: _Element) -> bool:
    """Whether a barline is more than an ordinary one."""
    style = (line.findtext("bar-style") or "").strip()
    return style not in ("regular", "none", "") or any(child.tag != "bar-style" for child in line)

"""A few bars of a part, to be engraved by themselves.

Cut out of the source's own XML, what is in force where they begin (clef, key, meter,
transposition) carried in. Rests stay bar by bar, so that each bar on the paper is one bar
of the count beside it; titles go, as the page around the bars has its own.
"""

from __future__ import annotations

from copy import deepcopy

from lxml.etree import _Element

from companion.score.clock import Clock
from companion.score.extraction.barlines import borrow_barlines
from companion.score.extraction.borrowed import borrow_marks
from companion.score.extraction.documents import text_of
from companion.score.extraction.elements import make
from companion.score.extraction.heading import build_score
from companion.score.extraction.layout import strip_layout
from companion.score.extraction.meter_words import tell_meters
from companion.score.extraction.sheet import Sheet, open_sheet

_ORDER = (
    *("footnote", "level", "divisions", "key", "time", "staves", "part-symbol", "instruments"),
    *("clef", "staff-details", "transpose", "for-part", "directive", "measure-style"),
)
"""Attributes as MusicXML 4.0 orders them."""
_RANK = {tag: number for number, tag in enumerate(_ORDER)}
_CARRIED = {"divisions", "key", "time", "staves", "clef", "staff-details", "transpose"}
_OF_THE_PAGE = ("work", "movement-number", "movement-title", "identification", "credit")


def excerpt(musicxml: bytes, clock: Clock, part: int, first: int, last: int) -> bytes:
    """Bars `first` to `last` (ordinal) of one part of the score that `clock` was laid from.

    Where barlines travel apart, the part's own bars that sound in that time. Raises
    ReaderError where `musicxml` is no readable XML.
    """
    sheet = open_sheet(musicxml, clock, part)
    strip_layout(sheet.measures)
    borrow_marks(sheet)
    borrow_barlines(sheet)
    tell_meters(sheet)
    _forget_long_rests(sheet)
    begin, end = _own_bars(sheet, first, last)
    measures = sheet.measures
    _carry_in(measures[:begin], measures[begin])
    for measure in (*measures[:begin], *measures[end:]):
        sheet.element.remove(measure)
    root = build_score(sheet)
    for child in [child for child in root if child.tag in _OF_THE_PAGE]:
        root.remove(child)
    return text_of(root)


def _own_bars(sheet: Sheet, first: int, last: int) -> tuple[int, int]:
    """Indices of the part's first bar and of the one after its last."""
    start, end = sheet.clock.bars[first - 1].start, sheet.clock.bars[last - 1].end
    places = sheet.clock.places[sheet.own]
    begin = sheet.clock.own_bar_at(sheet.own, start)
    return begin, max(begin + 1, sum(place.start < end for place in places))


def _forget_long_rests(sheet: Sheet) -> None:
    for style in list(sheet.element.iterfind("measure/attributes/measure-style")):
        parent = style.getparent()
        if parent is not None and style.find("multiple-rest") is not None:
            parent.remove(style)


def _carry_in(before: list[_Element], first: _Element) -> None:
    """Tell the first bar what was said before it and still holds."""
    said: dict[tuple[str, str], _Element] = {}
    for measure in before:
        for child in measure.iterfind("attributes/*"):
            if child.tag in _CARRIED:
                if child.tag in ("key", "time") and child.get("number") is None:
                    said = {key: kept for key, kept in said.items() if key[0] != child.tag}
                said[str(child.tag), child.get("number", "")] = child
    opening = _opening(first)
    there = {str(child.tag) for child in opening}
    stated = {(str(child.tag), child.get("number", "")) for child in opening}
    for key, child in said.items():
        # A clef of one staff leaves the other staves theirs; a meter is every staff's.
        if key not in stated and (key[0] == "clef" or key[0] not in there):
            opening.append(deepcopy(child))
    opening[:] = sorted(opening, key=lambda child: _RANK.get(str(child.tag), -1))


def _opening(measure: _Element) -> _Element:
    """The attributes at the beginning of a bar, made where there are none."""
    for child in measure:
        if child.tag == "attributes":
            return child
        if child.tag in ("note", "backup", "forward"):
            break
    opening = make("attributes")
    measure.insert(0, opening)
    return opening

"""One player's part out of a score: what would be put on the stand.

The source's own XML is kept and added to, never rebuilt from the model, so that no
slur, fingering or lyric is lost on the way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from lxml import etree
from lxml.etree import _Element

from companion.part.borrowed_barlines import borrow_barlines
from companion.part.borrowed_marks import borrow_marks
from companion.part.cue_notes import add_cues
from companion.part.long_rests import count_rests
from companion.part.meter_words import tell_meters
from companion.part.part_heading import build_score
from companion.part.player_entrances import Cues
from companion.part.sheet import Sheet, open_sheet
from companion.part.xml_elements import make
from companion.score.clock import Clock


@dataclass(frozen=True, slots=True)
class Extract:
    """A part as MusicXML, and what it has that the score's staff had not."""

    musicxml: bytes
    """A score-partwise document in UTF-8."""
    added: Counter[str]
    """How many `cues`, `multi-bar rests`, `rehearsal marks`, `tempo marks`, `signs`,
    `repeats and endings` and `meter notes` it has gained."""


def extract(musicxml: bytes, clock: Clock, part: int, cues: Cues = Cues.SHORT) -> Extract:
    """Take one part out of the score that `clock` was laid from.

    `musicxml` is the text that score was read from, partwise or timewise. Raises
    ReaderError where it is no readable XML.
    """
    sheet = open_sheet(musicxml, clock, part)
    strip_layout(sheet.measures)
    added = borrow_marks(sheet) + borrow_barlines(sheet)
    added += tell_meters(sheet)
    added += add_cues(sheet, cues)
    added += count_rests(sheet)
    return Extract(text_of(build_score(sheet)), added)


# A few bars of a part, to be engraved by themselves.


_ORDER = (
    *("footnote", "level", "divisions", "key", "time", "staves", "part-symbol", "instruments"),
    *("clef", "staff-details", "transpose", "for-part", "directive", "measure-style"),
)
"""Attributes as MusicXML 4.0 orders them."""
_RANK = {tag: number for number, tag in enumerate(_ORDER)}
_CARRIED = {"divisions", "key", "time", "staves", "clef", "staff-details", "transpose"}
_OF_THE_PAGE = ("work", "movement-number", "movement-title", "identification", "credit")


def excerpt(musicxml: bytes, clock: Clock, parts: Sequence[int], first: int, last: int) -> bytes:
    """Bars `first` to `last` (ordinal) of some parts, one above the other, of the score that
    `clock` was laid from.

    Where barlines travel apart, a part's own bars that sound in that time. Raises
    ReaderError where `musicxml` is no readable XML.
    """
    root, *below = (_excerpt(musicxml, clock, part, first, last) for part in parts)
    names = root.find("part-list")
    for other in below:
        if names is not None:
            names.extend(other.iterfind("part-list/score-part"))
        root.extend(other.iterfind("part"))
    return text_of(root)


def _excerpt(musicxml: bytes, clock: Clock, part: int, first: int, last: int) -> _Element:
    """The bars of one part as a document."""
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
    return root


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
    """Give the first bar what was set before it and still holds."""
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


# The finished part as bytes: plain MusicXML, or in its zip container.


_MIMETYPE = b"application/vnd.recordare.musicxml"
_CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    "<container>\n"
    "  <rootfiles>\n"
    '    <rootfile full-path="{name}" media-type="application/vnd.recordare.musicxml+xml"/>\n'
    "  </rootfiles>\n"
    "</container>\n"
)
_LONG_AGO = (1980, 1, 1, 0, 0, 0)
"""The earliest date a zip can hold."""


def text_of(root: _Element) -> bytes:
    """A document in UTF-8. It needs no document type: its version says what it is."""
    etree.indent(root)
    whole = etree.tostring(root, encoding="UTF-8", xml_declaration=True)
    return whole + b"\n<!-- part written by companion -->\n"


def container_of(musicxml: bytes, name: str) -> bytes:
    """The document in a zip container (MusicXML 4.0, "Compressed .mxl files"): `mimetype`
    first and uncompressed, then the container's own list, then the score."""
    held = BytesIO()
    with ZipFile(held, "w", ZIP_DEFLATED) as archive:
        archive.writestr(_entry("mimetype", ZIP_STORED), _MIMETYPE)
        listed = _CONTAINER.format(name=name).encode()
        archive.writestr(_entry("META-INF/container.xml", ZIP_DEFLATED), listed)
        archive.writestr(_entry(name, ZIP_DEFLATED), musicxml)
        archive.comment = b"written by companion"
    return held.getvalue()


def _entry(name: str, how: int) -> ZipInfo:
    entry = ZipInfo(name, _LONG_AGO)
    entry.compress_type = how
    return entry


# Taking the full score's layout off a part.


_BREAKS = ("new-page", "new-system", "blank-page", "page-number", "staff-spacing", "id")
_DISTANCES = ("page-layout", "system-layout", "staff-layout", "measure-layout")


def strip_layout(measures: list[_Element]) -> None:
    """Remove what belongs to the score's page; show what its lower staves hide."""
    for measure in measures:
        measure.attrib.pop("width", "")
        for printed in measure.findall("print"):
            _strip(printed)
        for ending in measure.iterfind("barline/ending"):
            ending.attrib.pop("print-object", "")


def _strip(printed: _Element) -> None:
    for name in _BREAKS:
        printed.attrib.pop(name, "")
    for child in list(printed):
        if child.tag in _DISTANCES:
            printed.remove(child)
        elif child.tag == "measure-numbering" and (child.text or "").strip() == "none":
            child.text = "system"
    if len(printed) == 0:
        parent = printed.getparent()
        if parent is not None:
            parent.remove(printed)

"""<attributes>: divisions, key, meter, transposition, staves, clefs, multi-bar rests."""

from __future__ import annotations

from fractions import Fraction

from lxml.etree import _Element

from companion.score.model import Mark
from companion.score.readers.musicxml.grid import MOST_TICKS
from companion.score.readers.musicxml.meters import read_times
from companion.score.readers.musicxml.openbar import OpenBar
from companion.score.readers.musicxml.text import MOST_STAVES, decimal, staff_number, tidy, whole


def read_attributes(bar: OpenBar, element: _Element) -> None:
    """Take over everything an <attributes> states."""
    times: list[_Element] = []
    for child in element:
        if child.tag == "time":
            times.append(child)
        elif child.tag in _READERS:
            _READERS[child.tag](bar, child)
    if times:
        read_times(bar, times)


def divisions_of(text: str | None) -> Fraction | None:
    """Divisions of the quarter, decimals allowed; None where the text is no such number."""
    value = decimal(text)
    return value if value is not None and 0 < value <= MOST_TICKS else None


def _divisions(bar: OpenBar, element: _Element) -> None:
    value = divisions_of(element.text)
    if value is None:
        bar.slip(f"divisions “{tidy(element.text, 20)}” make no sense; those before were kept")
        return
    bar.part.set_unit(bar.part.grid.fit(1 / value))


def _key(bar: OpenBar, element: _Element) -> None:
    if element.get("number", "1") != "1":
        return
    fifths = whole(element.findtext("fifths"), -14, 14)
    if fifths is None:
        bar.slip("a key signature not built of fifths was left out")
    elif bar.raw == 0:
        bar.part.fifths = fifths
    else:
        bar.part.next_fifths = fifths


def _transpose(bar: OpenBar, element: _Element) -> None:
    chromatic = decimal(element.findtext("chromatic")) or Fraction(0)
    octaves = decimal(element.findtext("octave-change")) or Fraction(0)
    semitones = round(chromatic + 12 * octaves)
    if abs(semitones) > 120:
        bar.slip("a transposition of more than ten octaves was left out")
    elif bar.part.semitones is None:
        bar.part.semitones = semitones
    elif bar.part.semitones != semitones:
        bar.slip("its transposition changes; the first one was kept throughout")


def _staves(bar: OpenBar, element: _Element) -> None:
    bar.part.staves = max(bar.part.staves, whole(element.text, 1, MOST_STAVES) or 1)


def _clef(bar: OpenBar, element: _Element) -> None:
    sign = tidy(element.findtext("sign"), 20)
    line = whole(element.findtext("line"), -20, 20)
    octaves = whole(element.findtext("clef-octave-change"), -4, 4) or 0
    shift = f"{7 * octaves + (1 if octaves > 0 else -1):+d}" if octaves else ""
    text = f"{sign}{'' if line is None else line}{shift}"
    bar.marks.append(Mark(bar.at, "clef", text, staff_number(element.get("number"))))


def _measure_style(bar: OpenBar, element: _Element) -> None:
    counted = whole(element.findtext("multiple-rest"), 1, 10_000)
    if counted:
        bar.rest_bars = counted


_READERS = {
    "divisions": _divisions,
    "key": _key,
    "transpose": _transpose,
    "staves": _staves,
    "clef": _clef,
    "measure-style": _measure_style,
}

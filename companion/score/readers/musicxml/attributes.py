"""<attributes>: divisions, key, meter, transposition, staves, clefs, multi-bar rests."""

from __future__ import annotations

from fractions import Fraction

from lxml.etree import _Element

from companion.errors import RequestError
from companion.rhythm.meter import parse
from companion.score.model import Mark
from companion.score.readers.musicxml.open_bar import OpenBar
from companion.score.readers.musicxml.text import MOST_STAVES, decimal, staff_number, tidy, whole
from companion.score.readers.musicxml.ticks import MOST_TICKS


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
    """Divisions of the quarter, decimals allowed; None if the text is no such number."""
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


# A <time> as the page writes it: `6/8`, `3+2/8`, `2/4+3/8`.


def read_times(bar: OpenBar, times: list[_Element]) -> None:
    """Put the <time> elements of one <attributes> in force: the top staff's, from here or
    from the next bar where this one has already begun."""
    by_staff = {staff_number(time.get("number")): _written(bar, time) for time in times}
    readable = {staff: meter for staff, meter in by_staff.items() if meter != ""}
    if not readable:
        return
    part = bar.part
    top = min(readable)
    meter = part.meter if top > 1 and part.has_time else readable[top]
    if any(other != meter for other in readable.values()):
        bar.slip("its staves are in different meters; the top staff's was taken")
    if bar.raw == 0:
        part.set_meter(meter)
    elif meter != part.meter:
        bar.slip(f"the meter {meter or 'free'} is written inside a bar; it holds from the next one")
        part.next_meter = (meter,)


def _written(bar: OpenBar, time: _Element) -> str | None:
    """The meter as text; None for music without meter; empty if it makes no sense."""
    pairs: list[str] = []
    beats = ""
    for child in time:
        if child.tag == "senza-misura":
            return None
        if child.tag == "interchangeable":
            bar.slip("a second, interchangeable meter was left out")
        elif child.tag == "beats":
            beats = "".join((child.text or "").split())
        elif child.tag == "beat-type":
            pairs.append(f"{beats}/{(child.text or '').strip()}")
    return _checked(bar, "+".join(pairs))


def _checked(bar: OpenBar, meter: str) -> str:
    """The meter, or nothing if it is none."""
    try:
        return parse(meter[:200]).text
    except RequestError:
        kept = bar.part.meter or "none"
        bar.slip(f"“{tidy(meter, 20)}” is not a meter; the one before ({kept}) was kept")
        return ""

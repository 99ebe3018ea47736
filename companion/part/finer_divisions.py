"""Counting a part in finer divisions of the quarter, so that a cue fits between them.

Every number a part counts in divisions is multiplied by the same factor; nothing about
the music changes. Triplets that the file had rounded off (85 + 85 + 86 of 256) become
exact on the way: rounded ones could not be told from odd lengths any more.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm

from lxml.etree import _Element

from companion.part.cue_choice import Cue
from companion.part.measure_cursor import units, walk_measure
from companion.part.note_spelling import plain_number
from companion.part.sheet import Sheet
from companion.score.readers.musicxml.text import decimal, whole
from companion.score.readers.musicxml.ticks import QUARTERS

_MOST = 16383
"""More divisions of the quarter do not fit a standard MIDI file (musicxml.xsd, divisions)."""
Rounded = Sequence[tuple[Fraction, _Element, Fraction]]
_COUNTED_ELEMENTS = ("divisions", "duration", "offset")
_COUNTED_ATTRIBUTES = ("attack", "release", "make-time", "divisions")


def factor_for(sheet: Sheet, cue: Cue, factor: int, rounded: Rounded) -> int | None:
    """By how much the part's divisions must be multiplied so that a cue fits as well.

    `factor` is what earlier cues need, `rounded` are the part's rounded tuplets. None if
    the divisions would become too fine.
    """
    for bar in cue.bars:
        index = bar.stretch.bar
        unit = walk_measure(sheet.element[index], sheet.units[index]).unit
        places = [place for note in bar.notes for place in (note.sound.at, note.sound.length)]
        for place in (*places, bar.stretch.until):
            factor = lcm(factor, (place * unit).denominator)
    if factor > 1:
        for exact, _, unit in rounded:
            factor = lcm(factor, (exact * unit).denominator)
    return factor if max(sheet.units) * factor <= _MOST else None


def refine(sheet: Sheet, factor: int, rounded: Rounded) -> None:
    """Multiply everything the part counts in divisions."""
    if factor == 1:
        return
    exact = [(note, length * unit * factor) for length, note, unit in rounded]
    for element in sheet.element.iter():
        if element.tag in _COUNTED_ELEMENTS:
            value = decimal(element.text)
            if value is not None:
                element.text = plain_number(value * factor)
        _refine_attributes(element, factor)
    for note, length in exact:
        duration = note.find("duration")
        if duration is not None:
            duration.text = plain_number(length)
    sheet.units[:] = units(sheet.measures)


def _refine_attributes(element: _Element, factor: int) -> None:
    names = (*_COUNTED_ATTRIBUTES, "fine") if element.tag == "sound" else _COUNTED_ATTRIBUTES
    for name in names:
        value = decimal(element.get(name))
        if value is not None:
            element.set(name, plain_number(value * factor))


def rounded_notes(sheet: Sheet) -> Iterator[tuple[Fraction, _Element, Fraction]]:
    """Tuplet notes whose duration is only rounded to a division: their exact length in
    quarters, the note, and the divisions in force."""
    for measure, start in zip(sheet.measures, sheet.units, strict=True):
        if measure.find("note/time-modification") is None:
            continue
        for spot in walk_measure(measure, start).spots:
            exact = _as_written(spot.element)
            length = decimal(spot.element.findtext("duration"))
            if exact is None or length is None or (exact * spot.unit).denominator == 1:
                continue
            if abs(exact * spot.unit - length) < 1:
                yield exact, spot.element, spot.unit


def _as_written(note: _Element) -> Fraction | None:
    """Quarters of a note in a tuplet by its type, dots and ratio."""
    ratio = note.find("time-modification")
    quarters = QUARTERS.get((note.findtext("type") or "").strip())
    if ratio is None or quarters is None:
        return None
    actual = whole(ratio.findtext("actual-notes"), 1, 1024)
    normal = whole(ratio.findtext("normal-notes"), 1, 1024)
    if actual is None or normal is None:
        return None
    dots = min(len(note.findall("dot")), 8)
    return quarters * (2 - Fraction(1, 2**dots)) * normal / actual

"""Tempo marks of another part, restated in the note values of this one.

`sound tempo` counts quarters and a metronome mark counts the note it prints, both as
*their* part writes them. Carried unchanged from 6/8 into 2/4, a dotted quarter = 80
would make the player's quarter a third too slow.
"""

from __future__ import annotations

import re
from fractions import Fraction

from lxml.etree import _Element

from companion.rhythm.meter import Meter
from companion.score.extraction.elements import make
from companion.score.extraction.note_names import plain_number, value_named
from companion.score.readers.musicxml.grid import QUARTERS
from companion.score.readers.musicxml.text import decimal

_NUMBER = re.compile(r"\d{1,5}(?:\.\d{1,6})?", re.ASCII)


def restate_sound(sound: _Element, ratio: Fraction) -> None:
    """Change `tempo` so that it counts this part's quarters.

    `ratio` is how many of this part's quarters last as long as one of the other's.
    """
    tempo = decimal(sound.get("tempo"))
    if tempo is not None and ratio != 1:
        sound.set("tempo", plain_number(tempo * ratio))


def restate_metronome(mark: _Element, ratio: Fraction, meter: Meter | None) -> bool:
    """Change a metronome mark to this part's note values; False where it cannot be.

    Where the other's beat is no plain note value here, the mark counts this part's felt
    beat instead. A relation of two note values speaks of a change in its own part and is
    never restated.
    """
    if ratio == 1:
        return True
    units = mark.findall("beat-unit")
    number = mark.find("per-minute")
    beat = _beat(mark)
    if len(units) != 1 or number is None or beat is None:
        return False
    named = value_named(beat * ratio, 1)
    if named is None:
        found = _NUMBER.search(number.text or "")
        named = value_named(meter.beat, 1) if meter is not None else None
        if found is None or named is None or meter is None:
            return False
        per_minute = Fraction(found.group()) * beat * ratio / meter.beat
        number.text = plain_number(round(per_minute, 2))
    _set_beat(mark, units[0], *named)
    return True


def _beat(mark: _Element) -> Fraction | None:
    """The note value counted, in quarters; None for tied or unknown ones."""
    quarters = QUARTERS.get((mark.findtext("beat-unit") or "").strip())
    if quarters is None or mark.find("beat-unit-tied") is not None:
        return None
    dots = min(len(mark.findall("beat-unit-dot")), 8)
    return quarters * (2 - Fraction(1, 2**dots))


def _set_beat(mark: _Element, unit: _Element, name: str, dots: int) -> None:
    for dot in mark.findall("beat-unit-dot"):
        mark.remove(dot)
    unit.text = name
    for _ in range(dots):
        unit.addnext(make("beat-unit-dot"))

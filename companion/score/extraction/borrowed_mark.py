"""One direction of another part, made fit to stand in this one.

Only what is wanted of it is kept, in this part's own note values; its position on the
other's staff, its voice and anything it does to the other's sound are left behind.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lxml.etree import _Element

from companion.rhythm.meter import Meter
from companion.score.extraction.crossing import Place
from companion.score.extraction.elements import make, transplanted
from companion.score.extraction.kinds import SIGNS, TEMPO, kinds_printed
from companion.score.extraction.sheet import Sheet
from companion.score.extraction.tempo_marks import restate_metronome, restate_sound

_LEFT_BEHIND = ("offset", "voice", "staff", "listening", "footnote", "level")


@dataclass(frozen=True, slots=True)
class Said:
    """One direction that concerns everybody."""

    element: _Element
    """The <direction> or <sound>."""
    at: Fraction
    """Quarters after the barline of its own part."""
    kinds: frozenset[str]
    """What it says, by `kinds`."""
    text: str
    """Its words."""


def made_for(
    sheet: Sheet, other: int, bar: int, place: Place, said: Said, wanted: frozenset[str]
) -> _Element | None:
    """A <direction> or <sound> for the player's part; None where nothing of it can be kept."""
    ratio = _ratio(sheet, other, bar, place.bar)
    before = _ratio(sheet, other, max(bar - 1, 0), max(place.bar - 1, 0))
    copy = transplanted(said.element)
    for name in _LEFT_BEHIND:
        for child in copy.findall(name):
            copy.remove(child)
    sound = copy if copy.tag == "sound" else copy.find("sound")
    if sound is not None:
        _trim_sound(sound, wanted, ratio)
    meter = sheet.clock.places[sheet.own][place.bar].meter
    for printed in copy.findall("direction-type"):
        is_wanted = bool(kinds_printed(printed, said.kinds) & wanted)
        is_same = ratio == before == 1
        if not (is_wanted and _restated(printed, ratio, meter, is_same=is_same)):
            copy.remove(printed)
    if copy.tag == "sound":
        return copy if copy.attrib else None
    return _finished(copy, sound, sheet.part.staves)


def _ratio(sheet: Sheet, other: int, bar: int, own_bar: int) -> Fraction:
    """This part's quarters to one of the other's."""
    return sheet.clock.places[other][bar].pace / sheet.clock.places[sheet.own][own_bar].pace


def _restated(printed: _Element, ratio: Fraction, meter: Meter | None, *, is_same: bool) -> bool:
    """Put metronome marks into this part's note values; False where they cannot be.

    A relation of two note values is kept only where both parts write the same (`is_same`)
    on both sides of the barline.
    """
    for mark in printed.findall("metronome"):
        is_relation = mark.find("per-minute") is None
        if is_relation and not is_same:
            return False
        if not is_relation and not restate_metronome(mark, ratio, meter):
            return False
    return True


def _trim_sound(sound: _Element, wanted: frozenset[str], ratio: Fraction) -> None:
    for child in list(sound):
        sound.remove(child)
    kept = (wanted & {TEMPO, *SIGNS}) | ({"time-only"} if wanted & set(SIGNS) else set())
    for name in list(sound.attrib):
        if name not in kept:
            del sound.attrib[name]
    if "fine" in sound.attrib:
        sound.set("fine", "yes")
    restate_sound(sound, ratio)


def _finished(copy: _Element, sound: _Element | None, staves: int) -> _Element | None:
    """A direction with the rest of what the schema wants; a bare <sound> where nothing is
    left to print; None where nothing is left at all."""
    if sound is not None and not sound.attrib:
        copy.remove(sound)
        sound = None
    if copy.find("direction-type") is None:
        return sound
    if copy.get("placement") is None:
        copy.set("placement", "above")
    if staves > 1:
        staff = make("staff", 1)
        if sound is not None:
            sound.addprevious(staff)
        else:
            copy.append(staff)
    return copy

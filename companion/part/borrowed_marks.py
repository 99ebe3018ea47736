"""Rehearsal marks, tempos, segno, coda, fine and da capo brought over from other parts.

A player counts rests by these marks, so each is added at the same moment of this part
unless something of its kind already stands there. Parts are asked from the top of the
page down, and the first to say something is taken at its word.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from lxml.etree import _Element

from companion.part.measure_cursor import (
    MeasurePlace,
    countable,
    insert,
    insert_last,
    offset_of,
    units,
    walk_measure,
)
from companion.part.note_spelling import plain_number, value_named
from companion.part.player_entrances import PartPlace, same_moment_in
from companion.part.shared_directions import (
    METRONOME,
    REHEARSAL,
    SIGNS,
    TEMPO,
    TEMPOS,
    WORDS,
    kinds_in,
    kinds_printed,
    words_of,
)
from companion.part.sheet import Sheet
from companion.part.xml_elements import make, transplanted
from companion.rhythm.meter import Meter
from companion.score.readers.musicxml.text import decimal
from companion.score.readers.musicxml.ticks import QUARTERS

_SAY = ("direction", "sound")
_TEMPO_MARKS = {METRONOME, TEMPO}
_ACTS = {METRONOME, TEMPO, *SIGNS}


@dataclass(slots=True)
class _There:
    """What already stands in the player's part."""

    kinds: set[tuple[int, Fraction, str]] = field(default_factory=set)
    texts: set[tuple[int, str]] = field(default_factory=set)

    def add(self, place: PartPlace, kinds: frozenset[str], text: str) -> None:
        for kind in kinds:
            self.kinds.add(_key(place, kind))
        if METRONOME in kinds:
            self.kinds.add(_key(place, TEMPO))
        if WORDS in kinds:
            self.add_text(place.bar, text)

    def add_text(self, bar: int, text: str) -> None:
        self.texts.add((bar, _plain(text)))

    def lacks(self, place: PartPlace, kinds: frozenset[str], text: str) -> frozenset[str]:
        missing = {kind for kind in kinds if _key(place, kind) not in self.kinds}
        if (place.bar, _plain(text)) in self.texts:
            missing.discard(WORDS)
        return frozenset(missing)


def _plain(text: str) -> str:
    """Words as two engravers may write them: `Più mosso.` and `più mosso` are the same."""
    return text.casefold().strip(" .:")


def _key(place: PartPlace, kind: str) -> tuple[int, Fraction, str]:
    """A rehearsal mark is a bar's; everything else has its moment."""
    return place.bar, Fraction(0) if kind == REHEARSAL else place.at, kind


def borrow_marks(sheet: Sheet) -> Counter[str]:
    """Add what others carry for everybody. Gives how many rehearsal marks, tempo marks and
    signs were added."""
    there = _already_there(sheet)
    added: Counter[str] = Counter()
    for other, measures in sheet.others.items():
        last = len(sheet.clock.places[other])
        for bar, (contents, unit) in enumerate(zip(measures, units(measures), strict=True)):
            if contents is None or bar >= last:
                continue
            for said in _said(contents, unit, is_top=other == 0):
                added += _bring(sheet, there, other, bar, said)
    return added


def _already_there(sheet: Sheet) -> _There:
    there = _There()
    for bar, measure in enumerate(sheet.measures):
        # What the part says itself, above its staff or below, is not said to it again.
        for direction in measure.iterfind("direction"):
            there.add_text(bar, words_of(direction))
        for said in _said(measure, sheet.units[bar], is_top=True):
            place = same_moment_in(sheet.clock, sheet.own, sheet.own, bar, said.at)
            if place is not None:
                there.add(_counted(sheet, place), said.kinds, said.text)
    return there


def _said(measure: _Element, unit: Fraction, *, is_top: bool) -> Iterator[BorrowedMark]:
    """What a measure says that concerns everybody, in order."""
    spots = [spot for spot in walk_measure(measure, unit).spots if spot.element.tag in _SAY]
    placed = [(spot.element, _place(spot)) for spot in spots]
    tempos = {at for element, at in placed if kinds_in(element, is_top=False) & _TEMPO_MARKS}
    for element, at in placed:
        kinds = kinds_in(element, is_top=is_top, is_with_tempo=at in tempos)
        if kinds:
            yield BorrowedMark(element, at, kinds, words_of(element))


def _place(spot: MeasurePlace) -> Fraction:
    """Where a direction holds: tempos and jumps where they are heard, others where seen."""
    is_heard = bool(kinds_in(spot.element, is_top=False) & _ACTS)
    offset = offset_of(spot.element, spot.unit, is_heard=is_heard)
    return max(spot.at + offset, Fraction(0))


def _counted(sheet: Sheet, place: PartPlace) -> PartPlace:
    """A place in the player's part, as exactly as its divisions can say."""
    if place.is_end:
        return place
    return PartPlace(place.bar, countable(place.at, sheet.units[place.bar]))


def _bring(sheet: Sheet, there: _There, other: int, bar: int, said: BorrowedMark) -> Counter[str]:
    """Add one direction of another part, as far as nothing like it is there."""
    place = same_moment_in(sheet.clock, other, sheet.own, bar, said.at)
    if place is None:
        return Counter()
    place = _counted(sheet, place)
    wanted = there.lacks(place, said.kinds, said.text)
    made = made_for(sheet, other, bar, place, said, wanted) if wanted else None
    if made is None:
        return Counter()
    there.add(place, wanted, said.text)
    measure = sheet.element[place.bar]
    if place.is_end:
        insert_last(measure, made)
    else:
        insert(measure, sheet.units[place.bar], made, place.at)
    return _counts(wanted)


def _counts(kinds: frozenset[str]) -> Counter[str]:
    found: Counter[str] = Counter()
    found["rehearsal marks"] = int(REHEARSAL in kinds)
    found["tempo marks"] = int(bool(kinds & set(TEMPOS)))
    found["signs"] = int(bool(kinds & set(SIGNS)))
    return +found


# One direction of another part, made fit to stand in this one.


_LEFT_BEHIND = ("offset", "voice", "staff", "listening", "footnote", "level")


@dataclass(frozen=True, slots=True)
class BorrowedMark:
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
    sheet: Sheet, other: int, bar: int, place: PartPlace, said: BorrowedMark, wanted: frozenset[str]
) -> _Element | None:
    """A <direction> or <sound> for the player's part; None if nothing of it can be kept."""
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
    """Put metronome marks into this part's note values; False if they cannot be.

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
    left to print; None if nothing is left at all."""
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


# Tempo marks of another part, restated in the note values of this one.


_NUMBER = re.compile(r"\d{1,5}(?:\.\d{1,6})?", re.ASCII)


def restate_sound(sound: _Element, ratio: Fraction) -> None:
    """Change `tempo` so that it counts this part's quarters.

    `ratio` is how many of this part's quarters last as long as one of the other's.
    """
    tempo = decimal(sound.get("tempo"))
    if tempo is not None and ratio != 1:
        sound.set("tempo", plain_number(tempo * ratio))


def restate_metronome(mark: _Element, ratio: Fraction, meter: Meter | None) -> bool:
    """Change a metronome mark to this part's note values; False if it cannot be.

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

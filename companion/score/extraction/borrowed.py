"""Rehearsal marks, tempos, segno, coda, fine and da capo brought over from other parts.

A player counts rests by these marks, so each is added at the same moment of this part
unless something of its kind already stands there. Parts are asked from the top of the
page down, and the first to say something is taken at its word.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from lxml.etree import _Element

from companion.score.extraction.borrowed_mark import Said, made_for
from companion.score.extraction.crossing import Place, cross
from companion.score.extraction.cursor import (
    Spot,
    countable,
    insert,
    insert_last,
    offset_of,
    units,
    walk,
)
from companion.score.extraction.kinds import (
    METRONOME,
    REHEARSAL,
    SIGNS,
    TEMPO,
    TEMPOS,
    WORDS,
    kinds_in,
    words_of,
)
from companion.score.extraction.sheet import Sheet

_SAY = ("direction", "sound")
_TEMPO_MARKS = {METRONOME, TEMPO}
_ACTS = {METRONOME, TEMPO, *SIGNS}


@dataclass(slots=True)
class _There:
    """What already stands in the player's part."""

    kinds: set[tuple[int, Fraction, str]] = field(default_factory=set)
    texts: set[tuple[int, str]] = field(default_factory=set)

    def add(self, place: Place, kinds: frozenset[str], text: str) -> None:
        for kind in kinds:
            self.kinds.add(_key(place, kind))
        if METRONOME in kinds:
            self.kinds.add(_key(place, TEMPO))
        if WORDS in kinds:
            self.texts.add((place.bar, text))

    def lacks(self, place: Place, kinds: frozenset[str], text: str) -> frozenset[str]:
        missing = {kind for kind in kinds if _key(place, kind) not in self.kinds}
        if (place.bar, text) in self.texts:
            missing.discard(WORDS)
        return frozenset(missing)


def _key(place: Place, kind: str) -> tuple[int, Fraction, str]:
    """A rehearsal mark is a bar's; everything else has its moment."""
    return place.bar, Fraction(0) if kind == REHEARSAL else place.at, kind


def borrow_marks(sheet: Sheet) -> Counter[str]:
    """Add what others carry for everybody. Gives how many rehearsal marks, tempo marks and
    signs were added."""
    there = _There()
    for bar, measure in enumerate(sheet.measures):
        for said in _said(measure, sheet.units[bar], is_top=True):
            place = cross(sheet.clock, sheet.own, sheet.own, bar, said.at)
            if place is not None:
                there.add(_counted(sheet, place), said.kinds, said.text)
    added: Counter[str] = Counter()
    for other, measures in sheet.others.items():
        last = len(sheet.clock.places[other])
        for bar, (contents, unit) in enumerate(zip(measures, units(measures), strict=True)):
            if contents is None or bar >= last:
                continue
            for said in _said(contents, unit, is_top=other == 0):
                added += _bring(sheet, there, other, bar, said)
    return added


def _said(measure: _Element, unit: Fraction, *, is_top: bool) -> Iterator[Said]:
    """What a measure says that concerns everybody, in order."""
    spots = [spot for spot in walk(measure, unit).spots if spot.element.tag in _SAY]
    placed = [(spot.element, _place(spot)) for spot in spots]
    tempos = {at for element, at in placed if kinds_in(element, is_top=False) & _TEMPO_MARKS}
    for element, at in placed:
        kinds = kinds_in(element, is_top=is_top, is_with_tempo=at in tempos)
        if kinds:
            yield Said(element, at, kinds, words_of(element))


def _place(spot: Spot) -> Fraction:
    """Where a direction holds: tempos and jumps where they are heard, others where seen."""
    is_heard = bool(kinds_in(spot.element, is_top=False) & _ACTS)
    offset = offset_of(spot.element, spot.unit, is_heard=is_heard)
    return max(spot.at + offset, Fraction(0))


def _counted(sheet: Sheet, place: Place) -> Place:
    """A place in the player's part, as exactly as its divisions can say."""
    if place.is_end:
        return place
    return Place(place.bar, countable(place.at, sheet.units[place.bar]))


def _bring(sheet: Sheet, there: _There, other: int, bar: int, said: Said) -> Counter[str]:
    """Add one direction of another part, as far as nothing like it is there."""
    place = cross(sheet.clock, other, sheet.own, bar, said.at)
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

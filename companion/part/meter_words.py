"""Words that tell a player what the others are counting: `others in 2/4, beat = beat`.

A part on its own hides that the meters disagree; the first sign of it would be the
others arriving early.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from companion.part.measure_cursor import insert_first
from companion.part.player_entrances import movement_at
from companion.part.sheet import Sheet
from companion.part.xml_elements import short_name, words_above
from companion.rhythm.meter import Meter
from companion.rhythm.tempo_relation import what_stayed
from companion.score.clock import BarPlace


@dataclass(frozen=True, slots=True)
class _Apart:
    """What others count in one bar of the player's, where it differs from the player's own."""

    groups: tuple[tuple[str, tuple[int, ...]], ...]
    """(what, indices of parts): `2/4, beat = beat`, in order of the page."""
    is_everybody: bool
    """Whether no other part counts with the player."""


def tell_meters(sheet: Sheet) -> Counter[str]:
    """Add words where others begin to count differently, and where all are together again.

    Gives how many were added.
    """
    added = 0
    before: _Apart | None = None
    movement = 0
    for bar, place in enumerate(sheet.clock.places[sheet.own]):
        now = _apart(sheet, bar, place)
        last, movement = movement, movement_at(sheet.clock, sheet.own, bar)
        opens = movement != last
        text = ""
        if now.groups and (opens or now != before):
            text = _told(sheet, now)
        elif before is not None and before.groups and not now.groups and not opens and place.meter:
            text = f"all in {place.meter}"
        if text:
            insert_first(sheet.element[bar], words_above(text, sheet.part.staves))
            added += 1
        before = now
    return +Counter({"meter notes": added})


def _apart(sheet: Sheet, bar: int, place: BarPlace) -> _Apart:
    groups: dict[str, list[int]] = {}
    together = 0
    for other in sheet.others:
        theirs = _place_of(sheet, other, bar, place)
        if theirs is None:
            continue
        if _is_same(place.meter, theirs.meter):
            together += 1
        else:
            groups.setdefault(_what(place, theirs), []).append(other)
    return _Apart(tuple((what, tuple(who)) for what, who in groups.items()), together == 0)


def _place_of(sheet: Sheet, other: int, bar: int, place: BarPlace) -> BarPlace | None:
    """The other's bar that sounds at the start of the player's; None if it has ended."""
    places = sheet.clock.places[other]
    if sheet.clock.barlines_coincide:
        return places[bar] if bar < len(places) else None
    if not places or places[-1].end <= place.start:
        return None
    return places[sheet.clock.own_bar_at(other, place.start)]


def _is_same(one: Meter | None, other: Meter | None) -> bool:
    """Whether two meters are felt alike, however they are written."""
    if one is None or other is None:
        return one is other
    return one.beats == other.beats and one.divisions == other.divisions


def _what(mine: BarPlace, theirs: BarPlace) -> str:
    if theirs.meter is None:
        return "free time"
    if mine.meter is None:
        return theirs.meter.text
    same = what_stayed(mine.meter, theirs.meter, mine.pace, theirs.pace)
    return f"{theirs.meter}, {same.value if same else 'bar = bar'}"


def _told(sheet: Sheet, apart: _Apart) -> str:
    if apart.is_everybody and len(apart.groups) == 1:
        return f"others in {apart.groups[0][0]}"
    return "; ".join(f"{_names(sheet, who)} in {what}" for what, who in apart.groups)


def _names(sheet: Sheet, indices: tuple[int, ...]) -> str:
    parts = sheet.clock.score.parts
    return ", ".join(short_name(parts[index]) for index in indices)

"""From exact lengths to notes a player can read: types, dots, ties and tuplets.

A line that sounds in another meter rarely fits plain note values: three eighths of a
beat in 6/8 become a triplet in 2/4. Everything is spelled exactly or not at all; a cue
that is nearly right would bring the player in wrong.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from companion.part.cue_lines import CueNote
from companion.score.readers.musicxml.ticks import QUARTERS

Ratio = tuple[int, int]
PLAIN: Ratio = (1, 1)
_MOST_IN_A_TUPLET = 9


@dataclass(frozen=True, slots=True)
class Spelled:
    """One note, chord or rest as it is written."""

    sound: CueNote
    """What sounds, and when."""
    name: str
    """Its type: `eighth`."""
    dots: int
    """Dots of prolongation."""
    ratio: Ratio = PLAIN
    """(actual, normal): three in the time of two is (3, 2)."""
    opens_tuplet: bool = False
    """Whether a tuplet begins with it."""
    closes_tuplet: bool = False
    """Whether a tuplet ends with it."""


def spell(
    sounds: Sequence[CueNote], until: Fraction, boundaries: frozenset[Fraction], scale: Fraction
) -> tuple[Spelled, ...] | None:
    """Spell one stretch of a bar from its barline; None if it cannot be exactly.

    `boundaries` are the quarters at which felt beats begin; `scale` is the player's
    quarters to one of the line's, for rests that fill gaps.
    """
    pieces: list[tuple[CueNote, Ratio]] = []
    now = Fraction(0)
    for sound in [*sounds, CueNote(until, Fraction(0))]:
        if sound.at < now:
            return None
        if sound.at > now:
            gap = _gap(now, sound.at, scale)
            if gap is None:
                return None
            pieces += gap
        if sound.length:
            cut = _pieces(sound)
            if cut is None:
                return None
            pieces += cut
        now = sound.end
    return _grouped(pieces, boundaries)


def ratio_of(share: Fraction) -> Ratio | None:
    """The tuplet in which notes take `share` of their written length, the way players count
    it: 2/3 and 4/3 are 3:2, 3/2 and 3/4 are 2:3. None for one nobody counts."""
    actual, normal = share.denominator, share.numerator
    actual //= actual & -actual
    normal //= normal & -normal
    if max(actual, normal) > _MOST_IN_A_TUPLET:
        return None
    if actual > 1:
        while normal * 2 < actual:
            normal *= 2
        return actual, normal
    while normal > 1 and actual * 2 < normal:
        actual *= 2
    return actual, normal


def _gap(start: Fraction, end: Fraction, scale: Fraction) -> list[tuple[CueNote, Ratio]] | None:
    """Rests where a line's voice has nothing written, each on a multiple of itself."""
    ratio = ratio_of(scale)
    if ratio is None:
        return None
    share = Fraction(ratio[1], ratio[0])
    found: list[tuple[CueNote, Ratio]] = []
    now, last = start / share, end / share
    while now < last:
        fitting = [
            value
            for value, (_, dots) in VALUES.items()
            if not dots and value <= last - now and (now / value).denominator == 1
        ]
        if not fitting:
            return None
        value = max(fitting)
        found.append((CueNote(now * share, value * share, scale=scale), ratio))
        now += value
    return found


def _pieces(sound: CueNote) -> list[tuple[CueNote, Ratio]] | None:
    """The sound as one note, or as tied notes where one cannot show its length."""
    ratio = ratio_of(sound.scale * sound.shrink)
    if ratio is None:
        return None
    share = Fraction(ratio[1], ratio[0])
    written = sound.length / share
    values = [written] if written in VALUES else list(_tied(written))
    if sum(values) != written:
        return None
    found: list[tuple[CueNote, Ratio]] = []
    at = sound.at
    for number, value in enumerate(values):
        piece = replace(
            sound,
            at=at,
            length=value * share,
            is_tied_back=sound.is_tied_back or number > 0,
            is_tied_on=sound.is_tied_on or number < len(values) - 1,
        )
        found.append((piece, ratio))
        at += value * share
    return found


def _tied(written: Fraction) -> Iterator[Fraction]:
    """Values that add up to a length, longest first; short of it where none do."""
    while written:
        value = max((v for v, (_, dots) in VALUES.items() if dots < 2 and v <= written), default=0)
        if not value:
            return
        yield Fraction(value)
        written -= value


def _grouped(
    pieces: Sequence[tuple[CueNote, Ratio]], boundaries: frozenset[Fraction]
) -> tuple[Spelled, ...] | None:
    """Give every piece its type, and tuplets their beginning and end."""
    spelled: list[Spelled] = []
    index = 0
    while index < len(pieces):
        sound, ratio = pieces[index]
        if ratio == PLAIN:
            group, made = [sound], _plain([sound])
        else:
            group = _tuplet(pieces[index:], boundaries)
            made = _tuplet_spelled(group, ratio)
        if made is None:
            return None
        spelled += made
        index += len(group)
    return tuple(spelled)


def _tuplet(
    pieces: Sequence[tuple[CueNote, Ratio]], boundaries: frozenset[Fraction]
) -> list[CueNote]:
    """The sounds of the first tuplet: up to the next beat, else as many as are alike, else
    all that share its ratio."""
    ratio = pieces[0][1]
    group: list[CueNote] = []
    for sound, its in pieces:
        if its != ratio:
            break
        group.append(sound)
        on_beat = group[0].at in boundaries and sound.end in boundaries
        alike = len(group) == ratio[0] and len({one.length for one in group}) == 1
        if on_beat or alike:
            break
    return group


def _tuplet_spelled(group: list[CueNote], ratio: Ratio) -> list[Spelled] | None:
    """A tuplet, or plain notes where scaling made them so; None if it is not whole."""
    if all(sound.scale != 1 for sound in group):
        plain = _plain(group)
        if plain is not None:
            return plain
    share = Fraction(ratio[1], ratio[0])
    values = [sound.length / share for sound in group]
    named = [value_named(value) for value in values]
    if len(group) < 2 or None in named or sum(values) % (ratio[0] * _shortest(named)):
        return None
    last = len(group) - 1
    return [
        Spelled(sound, *name, ratio, number == 0, number == last)
        for number, (sound, name) in enumerate(zip(group, named, strict=True))
        if name is not None
    ]


def _shortest(named: Sequence[tuple[str, int] | None]) -> Fraction:
    """The shortest type among them, its dots left out."""
    bare = {name: value for value, (name, dots) in VALUES.items() if not dots}
    return min(bare[name[0]] for name in named if name is not None)


def _plain(sounds: list[CueNote]) -> list[Spelled] | None:
    named = [value_named(sound.length, 2 if sound.scale == 1 else 1) for sound in sounds]
    if None in named:
        return None
    return [
        Spelled(sound, *name) for sound, name in zip(sounds, named, strict=True) if name is not None
    ]


# Beams for a spelled line: flagged notes of one beat hang together.


_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}
Beams = tuple[str, ...]


def beams(spelled: Sequence[Spelled], boundaries: frozenset[Fraction]) -> list[Beams]:
    """For each note what MusicXML's `beam` elements say, from the first level down.

    Common practice, no source: a beam never crosses a felt beat or a rest; beats shorter
    than a quarter share one.
    """
    found: list[Beams] = [()] * len(spelled)
    for group in _groups(spelled, _wide(boundaries)):
        flags = [_FLAGS[spelled[index].name] for index in group]
        for number, index in enumerate(group):
            found[index] = tuple(
                _level(flags, number, level) for level in range(1, flags[number] + 1)
            )
    return found


def _wide(boundaries: frozenset[Fraction]) -> list[Fraction]:
    """Beginnings of beats at least a quarter apart."""
    kept: list[Fraction] = []
    for place in sorted(boundaries):
        if not kept or place - kept[-1] >= 1:
            kept.append(place)
    return kept


def _groups(spelled: Sequence[Spelled], beats: list[Fraction]) -> Iterator[list[int]]:
    group: list[int] = []
    beat = -1
    for index, note in enumerate(spelled):
        its = sum(place <= note.sound.at for place in beats)
        can = note.name in _FLAGS and bool(note.sound.pitches)
        if group and (not can or its != beat):
            if len(group) > 1:
                yield group
            group = []
        if can:
            group.append(index)
            beat = its
    if len(group) > 1:
        yield group


def _level(flags: list[int], number: int, level: int) -> str:
    before = number > 0 and flags[number - 1] >= level
    after = number + 1 < len(flags) and flags[number + 1] >= level
    if before and after:
        return "continue"
    if before or after:
        return "end" if before else "begin"
    return "backward hook" if number > 0 else "forward hook"


# Note values as MusicXML names them: a type, its dots, and the length they make.


_FINEST = Fraction(1, 16)
"""Nothing shorter than a 64th is spelled for a player to read."""
_DOTTED = {0: Fraction(1), 1: Fraction(3, 2), 2: Fraction(7, 4)}

VALUES: dict[Fraction, tuple[str, int]] = {
    quarters * factor: (name, dots)
    for dots, factor in _DOTTED.items()
    for name, quarters in QUARTERS.items()
    if _FINEST <= quarters <= 8
}
"""Quarters → (type, dots), up to two dots."""


def value_named(length: Fraction, most_dots: int = 2) -> tuple[str, int] | None:
    """The type and dots of a length in quarters; None if one note cannot show it."""
    found = VALUES.get(length)
    return found if found is not None and found[1] <= most_dots else None


def plain_number(value: Fraction) -> str:
    """A decimal as XML wants it, at most six places."""
    return f"{float(value):.6f}".rstrip("0").rstrip(".")

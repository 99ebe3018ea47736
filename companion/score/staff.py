"""How a part's notes stand on its staff: clef, place among the lines, accidental, note value.

Everything here follows from the written pitch, the clef and the key by the rules every page
is printed by; a cautionary accidental, which the page may add, is not among them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from msgspec import Struct

from companion.score.clock import Bar, BarPlace, Clock
from companion.score.model import TIE_STARTS, TIE_STOPS, Note, PartBar

LETTERS = "CDEFGAB"
_SHARPS = "FCGDAEB"
_PITCH = re.compile(r"([A-G])([#b]*[\^~]?)(-?\d+)")
_CLEF = re.compile(r"(G|F|C)(\d)(?:([+-]\d+))?")
_REFERENCE = {"G": 4 * 7 + 4, "C": 4 * 7 + 0, "F": 3 * 7 + 3}
"""The pitch a clef puts on its line, in steps above C0: G4, C4, F3."""
_VALUES = tuple(Fraction(8) / 2**power for power in range(11))
"""From a breve to a 128th, in quarters."""
_MOST_DOTS = 3
_KEY_FROM = {("G", 2): (3, 1), ("C", 3): (2, 0), ("C", 4): (2, 2), ("F", 4): (1, -1)}
"""The lowest place of a sharp and of a flat of the key (common practice, no source)."""
MIDDLE = 4
"""The middle line, in steps above the bottom line."""


class Clef(Struct, frozen=True):
    """A clef on its line."""

    sign: str = "G"
    """`G`, `F` or `C`."""
    line: int = 2
    """From the bottom, from 1."""
    octaves: int = 0
    """Added to the written place: −1 where a small 8 stands under it."""

    @property
    def height(self) -> int:
        """Where its line is, in steps above the bottom line."""
        return 2 * (self.line - 1)


class Head(Struct, frozen=True):
    """One note head."""

    height: int
    """Steps above the bottom line."""
    accidental: str
    """`#`, `b`, `n`, `##`, `bb`, with `^` or `~` for a quarter tone; empty if none is printed."""
    pitch: str
    """As written; `x` unpitched."""
    is_tied: bool
    """Whether a tie begins on it."""


class StaffNote(Struct, frozen=True):
    """A note, chord or rest in one voice."""

    at: Fraction
    """Clock time."""
    until: Fraction
    """Clock time at which it is over."""
    heads: tuple[Head, ...]
    """From the bottom; empty for a rest."""
    value: Fraction
    """The note value in quarters, without dots and tuplet."""
    dots: int
    tuplet: tuple[int, int] | None
    voice: str
    marks: tuple[str, ...] = ()
    is_grace: bool = False
    is_cue: bool = False
    fills_bar: bool = False
    begins_beam: bool = False

    @property
    def flags(self) -> int:
        """How many flags or beams it has."""
        return max(0, self.value.denominator.bit_length() - 1)


class StaffBar(Struct, frozen=True):
    """One of the part's own bars on one staff."""

    start: Fraction
    """Clock time of its left barline."""
    end: Fraction
    clef: Clef
    """At its beginning."""
    clefs: tuple[tuple[Fraction, Clef], ...]
    """Changes inside the bar, with their clock times."""
    fifths: int
    """Sharps of the key, or flats if negative."""
    meter: str
    """As written; empty if unmeasured."""
    beat: Fraction
    """Clock time of its felt beat."""
    notes: tuple[StaffNote, ...]
    """In order of time."""
    dynamics: tuple[tuple[Fraction, str], ...]
    """Clock time and what it says: `mf`, `<`, `>`."""
    lead: Fraction = Fraction(0)
    """Clock time missing before it where it is a pickup."""


def clef_of(text: str) -> Clef:
    """The clef a source calls `G2`, `C3`, `G2-8`; a treble clef for what puts no pitch on a
    line (percussion, tablature)."""
    found = _CLEF.fullmatch(text)
    if found is None:
        return Clef()
    # An octave counts 8, two 15, as under the clef.
    shift = int(found[3] or 0)
    octaves = (abs(shift) - 1) // 7 if shift else 0
    return Clef(found[1], int(found[2]), octaves if shift > 0 else -octaves)


def height_of(pitch: str, clef: Clef) -> int:
    """Steps above the bottom line; an unpitched note stands on the middle line."""
    found = _PITCH.fullmatch(pitch)
    if found is None:
        return MIDDLE
    steps = 7 * int(found[3]) + LETTERS.index(found[1])
    return steps - 7 * clef.octaves - _REFERENCE[clef.sign] + clef.height


def key_signature(fifths: int) -> dict[str, str]:
    """What a key alters: letter → `#` or `b`, in the order they are written."""
    count = min(7, abs(fifths))
    if fifths < 0:
        return dict.fromkeys(_SHARPS[::-1][:count], "b")
    return dict.fromkeys(_SHARPS[:count], "#")


def key_heights(fifths: int, clef: Clef) -> list[int]:
    """Where the signs of a key stand, in steps above the bottom line, in order.

    In the treble clef sharps lie from the second space to the space above the top line, flats
    from the first space to the fourth; the other clefs keep the pattern near their letters.
    """
    sharps, flats = _KEY_FROM.get((clef.sign, clef.line), (2, 1))
    lowest = flats if fifths < 0 else sharps
    return [
        lowest + (height_of(f"{letter}4", clef) - lowest) % 7 for letter in key_signature(fifths)
    ]


def note_value(quarters: Fraction) -> tuple[Fraction, int]:
    """The value (in quarters) and the dots that make a length; the largest value in it where
    no dotted one does."""
    for value in _VALUES:
        for dots in range(_MOST_DOTS + 1):
            if value * (2 - Fraction(1, 2**dots)) == quarters:
                return value, dots
    return next((value for value in _VALUES if value <= quarters), _VALUES[-1]), 0


def staff_bars(clock: Clock, part: int, staff: int, bars: Sequence[Bar]) -> tuple[StaffBar, ...]:
    """One staff of a part (from 1) over some bars of the score."""
    written, places = clock.score.parts[part].bars, clock.places[part]
    if not places:
        return ()
    begin = clock.own_bar_at(part, bars[0].start)
    clef = _clef_before(written[:begin], staff)
    found = []
    for bar, place in zip(written[begin:], places[begin:], strict=True):
        if place.start >= bars[-1].end:
            break
        found.append(_staff_bar(clock, bar, place, staff, clef))
        clef = found[-1].clefs[-1][1] if found[-1].clefs else found[-1].clef
    return tuple(found)


def _clef_before(bars: Sequence[PartBar], staff: int) -> Clef:
    for bar in reversed(bars):
        for mark in reversed(bar.marks):
            if mark.kind == "clef" and mark.staff == staff:
                return clef_of(mark.text)
    return Clef()


def _staff_bar(clock: Clock, bar: PartBar, place: BarPlace, staff: int, clef: Clef) -> StaffBar:
    ticks = clock.score.ticks

    def moment(onset: int) -> Fraction:
        return place.start + Fraction(onset, ticks) * place.pace

    # A clef at the end of a bar is printed there, before the barline, and holds for the next.
    changes = [
        (mark.onset, clef_of(mark.text))
        for mark in bar.marks
        if mark.kind == "clef" and mark.staff == staff
    ]
    opening = [new for onset, new in changes if onset == 0]
    clef = opening[-1] if opening else clef
    later = [(onset, new) for onset, new in changes if onset > 0]
    placed = _placed(bar, staff, clef, later)
    tick = place.pace / ticks
    notes = tuple(_staff_note(chord, place.start, tick, ticks) for chord in _chords(placed))
    meter = place.meter
    beat = meter.beat * place.pace if meter else place.pace
    dynamics = tuple(
        (moment(mark.onset), _HAIRPINS.get(mark.text, mark.text))
        for mark in bar.marks
        if mark.staff == staff
        and (mark.kind == "dynamic" or mark.kind == "wedge" and mark.text in _HAIRPINS)
    )
    return StaffBar(
        place.start,
        place.end,
        clef,
        tuple((moment(onset), new) for onset, new in later),
        bar.fifths,
        meter.text if meter else "",
        beat,
        notes,
        dynamics,
        place.lead,
    )


_HAIRPINS = {"crescendo": "<", "diminuendo": ">"}
_PlacedNote = tuple[Note, Head | None]


def _placed(
    bar: PartBar, staff: int, clef: Clef, changes: Sequence[tuple[int, Clef]]
) -> list[_PlacedNote]:
    """Each note of a staff with its head, in order of time, voice by voice at one time.

    An accidental holds on its line or space to the end of the bar; a note tied from the bar
    before is printed without one, and what it bears does not hold on.
    """
    key = key_signature(bar.fifths)
    holding: dict[tuple[str, str], str] = {}
    placed: list[_PlacedNote] = []
    for note in sorted((one for one in bar.notes if one.staff == staff), key=_onset):
        found = _PITCH.fullmatch(note.pitch)
        clef = next((new for onset, new in reversed(changes) if onset <= note.onset), clef)
        if found is None:
            placed.append((note, Head(MIDDLE, "", "x", False) if note.pitch else None))
            continue
        letter, alter, octave = found.groups()
        due = holding.get((letter, octave), key.get(letter, ""))
        sign = ""
        if alter != due and not (note.tie & TIE_STOPS):
            sign = alter or "n"
            holding[letter, octave] = alter
        tied = bool(note.tie & TIE_STARTS)
        placed.append((note, Head(height_of(note.pitch, clef), sign, note.pitch, tied)))
    return placed


def _onset(note: Note) -> int:
    return note.onset


def _chords(placed: Iterable[_PlacedNote]) -> Iterator[list[_PlacedNote]]:
    """Notes of one voice that are struck together."""
    chord: list[_PlacedNote] = []
    for note, head in placed:
        first = chord[0][0] if chord else note
        joins = note.in_chord and (note.onset, note.voice) == (first.onset, first.voice)
        if chord and not joins:
            yield chord
            chord = []
        chord.append((note, head))
    if chord:
        yield chord


def _staff_note(chord: list[_PlacedNote], start: Fraction, tick: Fraction, ticks: int) -> StaffNote:
    """`tick` is the clock time of one tick, of which there are `ticks` to the quarter."""
    note = chord[0][0]
    actual, normal = note.tuplet or (1, 1)
    value, dots = note_value(Fraction(note.length * actual, normal * ticks))
    at = start + note.onset * tick
    return StaffNote(
        at,
        at + note.length * tick,
        tuple(sorted((head for _, head in chord if head), key=lambda head: head.height)),
        value,
        dots,
        note.tuplet,
        note.voice,
        tuple(dict.fromkeys(mark for one, _ in chord for mark in one.marks)),
        note.is_grace,
        note.is_cue,
        note.fills_bar,
        any(one.begins_beam for one, _ in chord),
    )


def beams(bar: StaffBar) -> list[list[StaffNote]]:
    """The notes under each beam, two at least.

    Without any beam in the bar's voice the notes of one felt beat belong together.
    """
    found = []
    for voice in dict.fromkeys(note.voice for note in bar.notes):
        own = [note for note in bar.notes if note.voice == voice and not note.is_grace]
        has_beams = any(note.begins_beam for note in own)
        found += [group for group in _beamed(bar, own, has_beams) if len(group) > 1]
    return found


def _beamed(
    bar: StaffBar, notes: Sequence[StaffNote], has_beams: bool
) -> Iterator[list[StaffNote]]:
    group: list[StaffNote] = []
    for note in notes:
        can = bool(note.heads) and note.flags > 0
        if has_beams:
            begins = note.begins_beam
            joins = can and not begins and bool(group)
        else:
            begins = can
            joins = can and bool(group) and _beat(bar, note) == _beat(bar, group[0])
        if not joins:
            yield group
            group = []
        if joins or (can and begins):
            group.append(note)
    yield group


def _beat(bar: StaffBar, note: StaffNote) -> int:
    return int((note.at - bar.start + bar.lead) / bar.beat)

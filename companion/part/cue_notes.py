"""A chosen cue written into the player's bars as small, silent notes.

It gets a voice of its own next to the player's rests, so that the bar still adds up for
the player and nobody counts the cue as the player's notes (`cue` in musicxml.xsd: a
note with a duration and no sound, which therefore takes no `tie`).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from statistics import median

from lxml.etree import _Element

from companion.part.cue_choice import Cue, CueBar, choose, cue_beat_starts
from companion.part.finer_divisions import factor_for, refine, rounded_notes
from companion.part.measure_cursor import walk_measure
from companion.part.note_spelling import PLAIN, Beams, Spelled, beams, plain_number
from companion.part.player_entrances import Cues, player_entrances
from companion.part.sheet import Sheet
from companion.part.written_pitch import (
    LETTERS,
    Accidentals,
    Interval,
    Pitch,
    middle_line,
    octaves_to_read,
    parse_pitch,
    transposed,
    transposition,
)
from companion.part.xml_elements import make, short_name, words_above

_SMALL = {"size": "cue"}
_STEMLESS = ("whole", "breve")


@dataclass(frozen=True, slots=True)
class _Hand:
    """How one cue is written."""

    voice: str
    """The voice it gets."""
    staves: int
    """Staves of the player's part."""
    by: Interval
    """From the line's written pitch to the player's."""
    room: StaffRoom | None
    """Stems and rests; None on a staff without pitches."""


def write_cue(sheet: Sheet, cue: Cue, voice: str) -> None:
    """Write a cue into its bars, the name of its part above its first note."""
    first = cue.bars[0].stretch.bar
    middle = middle_line(sheet.measures, first)
    by = transposition(sheet.others[cue.part], first) - transposition(sheet.measures, first)
    octaves = octaves_to_read(_steps(cue, by), middle)
    by = Interval(by.steps + 7 * octaves, by.semitones + 12 * octaves)
    hand = _Hand(voice, sheet.part.staves, by, staff_room(_steps(cue, by), middle))
    label: str | None = _label(sheet, cue.part, octaves)
    for bar in cue.bars:
        if bar.notes:
            _write_bar(sheet, bar, hand, label)
            label = None


def free_voice(measures: Sequence[_Element]) -> str:
    """The lowest number from 2 that no voice of the part has."""
    used = {element.text for measure in measures for element in measure.iterfind("note/voice")}
    return next(str(n) for n in range(2, len(used) + 3) if str(n) not in used)


def _steps(cue: Cue, by: Interval) -> list[int]:
    """How high every note of a cue stands on the player's staff."""
    return [
        transposed(parse_pitch(name), by).step
        for bar in cue.bars
        for note in bar.notes
        for name in note.sound.pitches
    ]


def _label(sheet: Sheet, part: int, octaves: int) -> str:
    name = short_name(sheet.clock.score.parts[part])
    if not octaves:
        return name
    count = "octave" if abs(octaves) == 1 else f"{abs(octaves)} octaves"
    return f"{name} ({count} {'up' if octaves > 0 else 'down'})"


def _write_bar(sheet: Sheet, bar: CueBar, hand: _Hand, label: str | None) -> None:
    index = bar.stretch.bar
    measure = sheet.element[index]
    walked = walk_measure(measure, sheet.units[index])
    if hand.room is not None:
        move_rests(measure, sheet.units[index], bar.stretch.until, hand.room.rest)
    place = sheet.clock.places[sheet.own][index]
    hung = beams(bar.notes, cue_beat_starts(place))
    accidentals = Accidentals(sheet.part.bars[index].fifths)
    new: list[_Element] = []
    if walked.end:
        new.append(_move("backup", walked.end, walked.unit))
    for note, its in zip(bar.notes, hung, strict=True):
        if label and note.sound.pitches:
            new.append(_label_above(label, hand))
            label = None
        new += _notes(note, its, accidentals, hand, walked.unit)
    rest = max(walked.reach, bar.stretch.until) - bar.stretch.until
    if rest:
        new.append(_move("forward", rest, walked.unit))
    at = _end_of(measure)
    measure[at:at] = new


def _label_above(text: str, hand: _Hand) -> _Element:
    direction = words_above(text, hand.staves, is_small=True)
    direction.find("direction-type").addnext(make("voice", hand.voice))  # type: ignore[union-attr]
    return direction


def _end_of(measure: _Element) -> int:
    """Index of the right barline, or of the end."""
    for index, child in enumerate(measure):
        if child.tag == "barline" and child.get("location", "right") == "right":
            return index
    return len(measure)


def _move(tag: str, quarters: Fraction, unit: Fraction) -> _Element:
    return make(tag, None, (make("duration", plain_number(quarters * unit)),))


def _notes(
    note: Spelled, its: Beams, accidentals: Accidentals, hand: _Hand, unit: Fraction
) -> Iterator[_Element]:
    """A rest, or one <note> for each pitch of a chord."""
    if not note.sound.pitches:
        yield _note(note, None, None, (), hand, unit)
    pitches = sorted(
        (transposed(parse_pitch(name), hand.by) for name in note.sound.pitches),
        key=lambda pitch: pitch.step,
    )
    for number, pitch in enumerate(pitches):
        sign = None if note.sound.is_tied_back else accidentals.needed(pitch)
        if number == 0:
            yield _note(note, pitch, sign, its, hand, unit)
            continue
        below = replace(note, opens_tuplet=False, closes_tuplet=False)
        element = _note(below, pitch, sign, (), hand, unit)
        element.insert(1, make("chord"))
        yield element


def _note(
    note: Spelled, pitch: Pitch | None, sign: str | None, its: Beams, hand: _Hand, unit: Fraction
) -> _Element:
    """One <note>, its children in the order of musicxml.xsd."""
    element = make("note", None, (make("cue"), _pitch(pitch)))
    element.append(make("duration", plain_number(note.sound.length * unit)))
    element.append(make("voice", hand.voice))
    element.append(make("type", note.name, attributes=_SMALL))
    element.extend(make("dot") for _ in range(note.dots))
    if sign is not None:
        element.append(make("accidental", sign))
    if note.ratio != PLAIN:
        numbers = (make("actual-notes", note.ratio[0]), make("normal-notes", note.ratio[1]))
        element.append(make("time-modification", None, numbers))
    if pitch is not None and hand.room is not None and note.name not in _STEMLESS:
        element.append(make("stem", hand.room.stem))
    if hand.staves > 1:
        element.append(make("staff", 1))
    for number, text in enumerate(its, 1):
        element.append(make("beam", text, attributes={"number": str(number)}))
    notations = tuple(_notations(note))
    if notations:
        element.append(make("notations", None, notations))
    return element


def _pitch(pitch: Pitch | None) -> _Element:
    if pitch is None:
        return make("rest")
    children = [make("step", pitch.letter)]
    if pitch.alter:
        children.append(make("alter", plain_number(pitch.alter)))
    children.append(make("octave", pitch.octave))
    return make("pitch", None, tuple(children))


def _notations(note: Spelled) -> Iterator[_Element]:
    if note.sound.pitches:
        if note.sound.is_tied_back:
            yield make("tied", attributes={"type": "stop"})
        if note.sound.is_tied_on:
            yield make("tied", attributes={"type": "start"})
    if note.opens_tuplet:
        yield make("tuplet", attributes={"type": "start", "bracket": "yes"})
    if note.closes_tuplet:
        yield make("tuplet", attributes={"type": "stop"})


# Room on the staff for a cue: stems to one side, the player's own rests to the other.


_BELOW, _ABOVE = -6, 4
"""Diatonic steps from the middle line at which a rest stands clear of the staff's middle."""
_CLEAR = 4
"""Diatonic steps kept between a rest and the cue's last notehead."""


@dataclass(frozen=True, slots=True)
class StaffRoom:
    """How a cue and the player's rests share a staff."""

    stem: str
    """`up` or `down`."""
    rest: int
    """Diatonic step above C0 at which the player's rests are shown."""


def staff_room(steps: Sequence[int], middle: int | None) -> StaffRoom | None:
    """Where a cue's stems and the player's rests go; None on a staff without pitches."""
    if middle is None or not steps:
        return None
    if median(steps) >= middle:
        return StaffRoom("up", min(middle + _BELOW, min(steps) - _CLEAR))
    return StaffRoom("down", max(middle + _ABOVE, max(steps) + _CLEAR))


def move_rests(measure: _Element, unit: Fraction, until: Fraction, step: int) -> None:
    """Show the player's rests that begin before a place at a step of the staff, unless the
    source already says where they stand."""
    for spot in walk_measure(measure, unit).spots:
        rest = spot.element.find("rest") if spot.element.tag == "note" else None
        staff = spot.element.findtext("staff") or "1"
        if rest is None or spot.at >= until or staff != "1" or len(rest):
            continue
        if spot.element.find("cue") is None:
            rest.append(make("display-step", LETTERS[step % 7]))
            rest.append(make("display-octave", step // 7))


# Cue notes before the player's entries.


def add_cues(sheet: Sheet, cues: Cues) -> Counter[str]:
    """Write a cue before every entry after a long rest, where a line fits exactly.

    Gives how many were added.
    """
    if cues is Cues.NONE:
        return Counter()
    rounded = list(rounded_notes(sheet))
    chosen: list[Cue] = []
    factor = 1
    for entry in player_entrances(sheet.clock, sheet.own, cues):
        for cue in choose(sheet.clock, sheet.own, entry):
            needed = factor_for(sheet, cue, factor, rounded)
            if needed is not None:
                chosen.append(cue)
                factor = needed
                break
    refine(sheet, factor, rounded)
    voice = free_voice(sheet.measures)
    for cue in chosen:
        write_cue(sheet, cue, voice)
    return +Counter({"cues": len(chosen)})

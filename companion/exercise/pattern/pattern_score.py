"""A pattern as a MusicXML score, so that the whole program can read it like any other.

The same lines always give the same bytes: a student's log knows a score by its content, and
a pattern that was practised last year must be found again. Change what is written here, and
every log loses the patterns in it; a test holds the bytes.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate

from companion.exercise.pattern.notation import (
    TYPES,
    UNPITCHED,
    NotationEvent,
    TempoWord,
    tuplet_groups,
)
from companion.exercise.pattern.pattern import LineBar, PatternLine, barlines_travel, divisions
from companion.exercise.pattern.tonality import fifths_of
from companion.rhythm.meter import Meter

_PAIR = re.compile(r"([0-9+]+)/([0-9]+)")


@dataclass(frozen=True, slots=True)
class Instrument:
    """How a part of that name is written."""

    sign: str
    """Of its clef."""
    line: int
    """Of its clef; 0 for none."""
    program: int
    """General MIDI 1 program from 1; 0 for none."""
    sound: str
    """The instrument's name among MusicXML's standard sounds."""


_INSTRUMENTS = {
    "violin": Instrument("G", 2, 41, "strings.violin"),
    "viola": Instrument("C", 3, 42, "strings.viola"),
    "cello": Instrument("F", 4, 43, "strings.cello"),
}
_TREBLE = Instrument("G", 2, 0, "")
_BASS = Instrument("F", 4, 0, "")
_HANDS = Instrument("percussion", 0, 0, "")


def write_musicxml(lines: Sequence[PatternLine], title: str, key: str = "") -> bytes:
    """The pattern as a MusicXML 4.0 document."""
    root = ET.Element("score-partwise", {"version": "4.0"})
    add_note(add_note(root, "work"), "work-title", title)
    listed = add_note(root, "part-list")
    for number, line in enumerate(lines, 1):
        _list(listed, f"P{number}", line)
    pieces, fifths = divisions(lines), fifths_of(key)
    travel = barlines_travel(lines)
    for number, line in enumerate(lines, 1):
        part = add_note(root, "part", id=f"P{number}")
        _part(part, line, Engraver(pieces, fifths), is_free=travel and number > 1)
    ET.indent(root, space=" ")
    text: str = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _list(listed: ET.Element, id_: str, line: PatternLine) -> None:
    entry = add_note(listed, "score-part", id=id_)
    add_note(entry, "part-name", line.name)
    instrument = _instrument(line)
    if instrument.program:
        named = add_note(entry, "score-instrument", id=f"{id_}-I1")
        add_note(named, "instrument-name", line.name)
        midi = add_note(entry, "midi-instrument", id=f"{id_}-I1")
        add_note(midi, "midi-program", str(instrument.program))


def _instrument(line: PatternLine) -> Instrument:
    """By its name; else by how high it lies."""
    if not line.is_pitched:
        return _HANDS
    word = line.name.casefold().split()[0]
    if word in _INSTRUMENTS:
        return _INSTRUMENTS[word]
    octaves = [
        int(event.pitch[-1]) for bar in line.bars for event in bar.events if len(event.pitch) > 1
    ]
    return _TREBLE if sum(octaves) >= 4 * len(octaves) else _BASS


def _part(part: ET.Element, line: PatternLine, engraver: Engraver, *, is_free: bool) -> None:
    before: Meter | None = None
    shift = 0 if line.bars[0].is_pickup else 1
    for index, bar in enumerate(line.bars):
        signs = {"implicit": "yes"} if bar.is_pickup else {}
        signs |= {"non-controlling": "yes"} if is_free else {}
        measure = add_note(part, "measure", number=str(index + shift), **signs)
        if bar.meter != before:
            _attributes(measure, line, engraver, bar.meter, is_first=not index)
            before = bar.meter
        engraver.bar(measure, bar)
    barline = add_note(part[-1], "barline", location="right")
    add_note(barline, "bar-style", "light-heavy")


def _attributes(
    measure: ET.Element, line: PatternLine, engraver: Engraver, meter: Meter, *, is_first: bool
) -> None:
    attributes = add_note(measure, "attributes")
    instrument = _instrument(line)
    if is_first:
        add_note(attributes, "divisions", str(engraver.divisions))
        add_note(add_note(attributes, "key"), "fifths", str(engraver.fifths))
    time = add_note(attributes, "time")
    for beats, beat_type in _PAIR.findall(meter.text):
        add_note(time, "beats", beats.strip("+"))
        add_note(time, "beat-type", beat_type)
    if is_first:
        clef = add_note(attributes, "clef")
        add_note(clef, "sign", instrument.sign)
        if instrument.line:
            add_note(clef, "line", str(instrument.line))
        if instrument is _HANDS:
            add_note(add_note(attributes, "staff-details"), "staff-lines", "1")


# One bar of a pattern as MusicXML: accidentals, beams, ties and brackets worked out once.


_SHARPS = "FCGDAEB"
_ALTERS = {"": 0, "#": 1, "##": 2, "b": -1, "bb": -2}
_ACCIDENTALS = {
    -2: "flat-flat",
    -1: "flat",
    0: "natural",
    1: "sharp",
    2: "double-sharp",
}
_FLAGS = {"e": 1, "s": 2, "t": 3}


@dataclass(slots=True)
class Engraver:
    """Writes the bars of one part."""

    divisions: int
    """Pieces of a quarter."""
    fifths: int
    """The key signature."""
    is_tied: bool = False
    """Whether a tie arrives from the bar before."""
    altered: dict[str, int] = field(default_factory=dict)
    """Accidentals printed in this bar, by letter and octave."""

    def bar(self, measure: ET.Element, bar: LineBar) -> None:
        """Add the tempo marks and the notes of a bar."""
        self.altered.clear()
        for tempo in bar.tempos:
            _tempo(measure, tempo)
        if not bar.events:
            note = add_note(measure, "note")
            add_note(note, "rest", measure="yes")
            add_note(note, "duration", str(int(bar.length * self.divisions)))
            add_note(note, "voice", "1")
            return
        beams, brackets = _beams(bar), _brackets(bar.events)
        for index, event in enumerate(bar.events):
            self._note(measure, event, beams[index], brackets.get(index, ()))

    def _note(
        self,
        measure: ET.Element,
        event: NotationEvent,
        beams: Sequence[str],
        brackets: Sequence[str],
    ) -> None:
        note = add_note(measure, "note")
        ties = ["stop"] * self.is_tied + ["start"] * event.is_tied
        alter = _pitch(note, event.pitch)
        add_note(note, "duration", str(int(event.length * self.divisions)))
        for tie in ties:
            add_note(note, "tie", type=tie)
        add_note(note, "voice", "1")
        add_note(note, "type", TYPES[event.value])
        for _ in range(event.dots):
            add_note(note, "dot")
        if alter is not None and not self.is_tied:
            self._accidental(note, event.pitch, alter)
        if event.tuplet:
            modification = add_note(note, "time-modification")
            add_note(modification, "actual-notes", str(event.tuplet[0]))
            add_note(modification, "normal-notes", str(event.tuplet[1]))
        for level, state in enumerate(beams, 1):
            add_note(note, "beam", state, number=str(level))
        _notations(note, event, ties, brackets)
        self.is_tied = event.is_tied

    def _accidental(self, note: ET.Element, pitch: str, alter: int) -> None:
        """Where neither the key nor an earlier note of the bar says it."""
        place = pitch[0] + pitch[-1]
        if self.altered.get(place, alter_in_key(pitch[0], self.fifths)) != alter:
            self.altered[place] = alter
            add_note(note, "accidental", _ACCIDENTALS[alter])


def add_note(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
    """A child element; attribute names write `_` for the hyphen."""
    named = {name.replace("_", "-"): value for name, value in attributes.items()}
    child = ET.SubElement(parent, tag, named)
    child.text = text or None
    return child


def alter_in_key(letter: str, fifths: int) -> int:
    """What a key signature does to a letter: 1 sharp, −1 flat, 0."""
    if fifths >= 0:
        return int(letter in _SHARPS[:fifths])
    return -int(letter in _SHARPS[fifths:])


def _pitch(note: ET.Element, pitch: str) -> int | None:
    """Add what sounds; the alteration, or None where there is no pitch."""
    if not pitch:
        add_note(note, "rest")
        return None
    if pitch == UNPITCHED:
        unpitched = add_note(note, "unpitched")
        add_note(unpitched, "display-step", "E")  # on the one line of its staff, as in treble clef
        add_note(unpitched, "display-octave", "4")
        return None
    element, alter = add_note(note, "pitch"), _ALTERS[pitch[1:-1]]
    add_note(element, "step", pitch[0])
    if alter:
        add_note(element, "alter", str(alter))
    add_note(element, "octave", pitch[-1])
    return alter


def _notations(
    note: ET.Element, event: NotationEvent, ties: Sequence[str], brackets: Sequence[str]
) -> None:
    if not (ties or brackets or event.signs):
        return
    notations = add_note(note, "notations")
    for tie in ties:
        add_note(notations, "tied", type=tie)
    for bracket in brackets:
        shown = {"bracket": "yes"} if bracket == "start" else {}
        add_note(notations, "tuplet", type=bracket, number="1", **shown)
    if event.signs:
        articulations = add_note(notations, "articulations")
        for sign in event.signs:
            add_note(articulations, sign)


def _brackets(events: Sequence[NotationEvent]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for group in tuplet_groups(events):
        if group.first < group.last:
            found.setdefault(group.first, []).append("start")
            found.setdefault(group.last, []).append("stop")
    return found


def _beams(bar: LineBar) -> list[list[str]]:
    """For each note its beams, outermost first: flagged neighbours within one felt beat."""
    starts = [Fraction(0), *accumulate(event.length for event in bar.events)]
    lead = bar.meter.length - bar.length
    ends = list(accumulate(bar.meter.beats))
    beat = [sum(1 for end in ends if end <= lead + start) for start in starts]
    flags = [_FLAGS.get(event.value, 0) if event.pitch else 0 for event in bar.events]

    def joined(left: int, level: int) -> bool:
        inside = 0 <= left < len(flags) - 1
        return inside and beat[left] == beat[left + 1] and min(flags[left : left + 2]) >= level

    return [
        [
            state
            for level in range(1, count + 1)
            if (state := _BEAMS.get((joined(index - 1, level), joined(index, level)), ""))
        ]
        for index, count in enumerate(flags)
    ]


_BEAMS = {(True, True): "continue", (False, True): "begin", (True, False): "end"}


def _tempo(measure: ET.Element, tempo: TempoWord) -> None:
    direction = add_note(measure, "direction", placement="above")
    metronome = add_note(add_note(direction, "direction-type"), "metronome")
    _beat_unit(metronome, tempo.beat)
    if tempo.equals:
        _beat_unit(metronome, tempo.equals)
    else:
        add_note(metronome, "per-minute", tempo.per_minute)


def _beat_unit(metronome: ET.Element, value: str) -> None:
    add_note(metronome, "beat-unit", TYPES[value[0]])
    if value.endswith("."):
        add_note(metronome, "beat-unit-dot")

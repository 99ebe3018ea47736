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
    DYNAMICS,
    HAIRPINS,
    TYPES,
    UNPITCHED,
    NotationEvent,
    TempoWord,
    tuplet_groups,
)
from companion.exercise.pattern.pattern import LineBar, PatternLine, barlines_travel, divisions
from companion.exercise.pattern.tonality import alter_in_key, fifths_of
from companion.rhythm.meter import Meter

_NO_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What no XML can hold (XML 1.0, 2.2)."""
_PAIR = re.compile(r"([0-9+]+)/([0-9]+)")


@dataclass(frozen=True, slots=True)
class _Instrument:
    """How a part of that name is written."""

    sign: str
    """Of its clef."""
    line: int
    """Of its clef; 0 for none."""
    program: int
    """General MIDI 1 program from 1; 0 for none."""
    octaves: int = 0
    """How many it sounds above what is written."""


_INSTRUMENTS = {
    "violin": _Instrument("G", 2, 41),
    "viola": _Instrument("C", 3, 42),
    "cello": _Instrument("F", 4, 43),
}
_DOUBLE_BASS = _Instrument("F", 4, 44, -1)
_TREBLE = _Instrument("G", 2, 0)
_BASS = _Instrument("F", 4, 0)
_HANDS = _Instrument("percussion", 0, 0)


def write_musicxml(
    lines: Sequence[PatternLine], title: str, key: str = "", *, is_early: bool = False
) -> bytes:
    """The pattern as a MusicXML 4.0 document.

    `is_early` writes it as formats 1 and 2 did: every beam ends with its beat, and a double
    bass sounds as written.
    """
    root = ET.Element("score-partwise", {"version": "4.0"})
    _add(_add(root, "work"), "work-title", title)
    listed = _add(root, "part-list")
    for number, line in enumerate(lines, 1):
        _list(listed, f"P{number}", line, _instrument(line, is_early=is_early))
    pieces, fifths = divisions(lines), fifths_of(key)
    travel = barlines_travel(lines)
    for number, line in enumerate(lines, 1):
        part = _add(root, "part", id=f"P{number}")
        instrument = _instrument(line, is_early=is_early)
        writer = _BarWriter(pieces, fifths, instrument, is_early)
        _part(part, line, writer, is_free=travel and number > 1)
    ET.indent(root, space=" ")
    text: str = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _list(listed: ET.Element, id_: str, line: PatternLine, instrument: _Instrument) -> None:
    entry = _add(listed, "score-part", id=id_)
    _add(entry, "part-name", line.name)
    if instrument.program:
        named = _add(entry, "score-instrument", id=f"{id_}-I1")
        _add(named, "instrument-name", line.name)
        midi = _add(entry, "midi-instrument", id=f"{id_}-I1")
        _add(midi, "midi-program", str(instrument.program))


def _instrument(line: PatternLine, *, is_early: bool) -> _Instrument:
    """By its name; else by how high it lies."""
    if not line.is_pitched:
        return _HANDS
    if line.name.casefold().startswith("double bass") and not is_early:
        return _DOUBLE_BASS
    word = line.name.casefold().split()[0]
    if word in _INSTRUMENTS:
        return _INSTRUMENTS[word]
    octaves = [
        int(event.pitch[-1]) for bar in line.bars for event in bar.events if len(event.pitch) > 1
    ]
    return _TREBLE if sum(octaves) >= 4 * len(octaves) else _BASS


def _part(part: ET.Element, line: PatternLine, writer: _BarWriter, *, is_free: bool) -> None:
    before: Meter | None = None
    shift = 0 if line.bars[0].is_pickup else 1
    for index, bar in enumerate(line.bars):
        signs = {"implicit": "yes"} if bar.is_pickup else {}
        signs |= {"non-controlling": "yes"} if is_free else {}
        measure = _add(part, "measure", number=str(index + shift), **signs)
        if bar.meter != before:
            _attributes(measure, writer, bar.meter, is_first=not index)
            before = bar.meter
        writer.bar(measure, bar)
    barline = _add(part[-1], "barline", location="right")
    _add(barline, "bar-style", "light-heavy")


def _attributes(measure: ET.Element, writer: _BarWriter, meter: Meter, *, is_first: bool) -> None:
    attributes, instrument = _add(measure, "attributes"), writer.instrument
    if is_first:
        _add(attributes, "divisions", str(writer.divisions))
        _add(_add(attributes, "key"), "fifths", str(writer.fifths))
    time = _add(attributes, "time")
    for beats, beat_type in _PAIR.findall(meter.text):
        _add(time, "beats", beats.strip("+"))
        _add(time, "beat-type", beat_type)
    if is_first:
        clef = _add(attributes, "clef")
        _add(clef, "sign", instrument.sign)
        if instrument.line:
            _add(clef, "line", str(instrument.line))
        if instrument is _HANDS:
            _add(_add(attributes, "staff-details"), "staff-lines", "1")
        if instrument.octaves:
            transpose = _add(attributes, "transpose")
            _add(transpose, "diatonic", "0")  # one reader stumbles without it
            _add(transpose, "chromatic", "0")
            _add(transpose, "octave-change", str(instrument.octaves))


# One bar of a pattern as MusicXML: accidentals, beams, ties and brackets worked out once.


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
class _BarWriter:
    """Writes the bars of one part."""

    divisions: int
    """Pieces of a quarter."""
    fifths: int
    """The key signature."""
    instrument: _Instrument
    is_early: bool
    """Whether every beam ends with its beat."""
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
            note = _add(measure, "note")
            _add(note, "rest", measure="yes")
            _add(note, "duration", str(int(bar.length * self.divisions)))
            _add(note, "voice", "1")
            return
        beams, brackets = _beams(bar, is_early=self.is_early), _brackets(bar.events)
        for index, event in enumerate(bar.events):
            for dynamic in event.dynamics:
                _dynamic(measure, dynamic)
            self._note(measure, event, event.pitch, beams[index], brackets.get(index, ()))
            for pitch in event.below:
                self._note(measure, event, pitch)
            self.is_tied = event.is_tied

    def _note(
        self,
        measure: ET.Element,
        event: NotationEvent,
        pitch: str,
        beams: Sequence[str] = (),
        brackets: Sequence[str] = (),
    ) -> None:
        """A note or a rest; without the signs that its stem has once, for a double stop."""
        note, is_first = _add(measure, "note"), pitch == event.pitch
        if not is_first:
            _add(note, "chord")
        ties = ["stop"] * self.is_tied + ["start"] * event.is_tied
        alter = _pitch(note, pitch)
        _add(note, "duration", str(int(event.length * self.divisions)))
        for tie in ties:
            _add(note, "tie", type=tie)
        _add(note, "voice", "1")
        _add(note, "type", TYPES[event.value])
        for _ in range(event.dots):
            _add(note, "dot")
        if alter is not None and not self.is_tied:
            self._accidental(note, pitch, alter)
        if event.tuplet:
            modification = _add(note, "time-modification")
            _add(modification, "actual-notes", str(event.tuplet[0]))
            _add(modification, "normal-notes", str(event.tuplet[1]))
        for level, state in enumerate(beams, 1):
            _add(note, "beam", state, number=str(level))
        _notations(note, event if is_first else _UNMARKED, ties, brackets)

    def _accidental(self, note: ET.Element, pitch: str, alter: int) -> None:
        """Where neither the key nor an earlier note of the bar says it."""
        place = pitch[0] + pitch[-1]
        if self.altered.get(place, alter_in_key(pitch[0], self.fifths)) != alter:
            self.altered[place] = alter
            _add(note, "accidental", _ACCIDENTALS[alter])


def _add(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
    """A child element; attribute names write `_` for the hyphen. What somebody named with a
    control character is named without it, or nobody could read the score."""
    named = {name.replace("_", "-"): value for name, value in attributes.items()}
    child = ET.SubElement(parent, tag, named)
    child.text = _NO_XML.sub("", text) or None
    return child


def _pitch(note: ET.Element, pitch: str) -> int | None:
    """Add what sounds; the alteration, or None if there is no pitch."""
    if not pitch:
        _add(note, "rest")
        return None
    if pitch == UNPITCHED:
        unpitched = _add(note, "unpitched")
        _add(unpitched, "display-step", "E")  # on the one line of its staff, as in treble clef
        _add(unpitched, "display-octave", "4")
        return None
    element, alter = _add(note, "pitch"), _ALTERS[pitch[1:-1]]
    _add(element, "step", pitch[0])
    if alter:
        _add(element, "alter", str(alter))
    _add(element, "octave", pitch[-1])
    return alter


_UNMARKED = NotationEvent("q", 0, "")
"""A note without signs."""
_BOWS = ("down-bow", "up-bow")


def _notations(
    note: ET.Element, event: NotationEvent, ties: Sequence[str], brackets: Sequence[str]
) -> None:
    slurs = ["start"] * event.begins_slur + ["stop"] * event.ends_slur
    if not (ties or brackets or event.signs or slurs):
        return
    notations = _add(note, "notations")
    for tie in ties:
        _add(notations, "tied", type=tie)
    for slur in slurs:
        _add(notations, "slur", type=slur, number="1")
    for bracket in brackets:
        shown = {"bracket": "yes"} if bracket == "start" else {}
        _add(notations, "tuplet", type=bracket, number="1", **shown)
    bows = [sign for sign in event.signs if sign in _BOWS]
    for group, signs in (
        ("technical", bows),
        ("articulations", [sign for sign in event.signs if sign not in bows]),
    ):
        if signs:
            parent = _add(notations, group)
            for sign in signs:
                _add(parent, sign)


def _dynamic(measure: ET.Element, dynamic: str) -> None:
    kind = _add(_add(measure, "direction", placement="below"), "direction-type")
    if dynamic in DYNAMICS:
        _add(_add(kind, "dynamics"), dynamic)
    else:
        _add(kind, "words", HAIRPINS[dynamic])


def _brackets(events: Sequence[NotationEvent]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for group in tuplet_groups(events):
        if group.first < group.last:
            found.setdefault(group.first, []).append("start")
            found.setdefault(group.last, []).append("stop")
    return found


def _beams(bar: LineBar, *, is_early: bool) -> list[list[str]]:
    """For each note its beams, outermost first: flagged neighbours that are felt together."""
    beat = _felt_together(bar, is_early=is_early)
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


def _felt_together(bar: LineBar, *, is_early: bool) -> list[tuple[int, int]]:
    """For each note the group it is felt in: its beat, or what divides more than one beat.

    Five in the time of two beats are one gesture, and so are four equal notes in a bar of
    three; a beam that broke at the beat would show a beat which nobody feels there.
    """
    starts = [Fraction(0), *accumulate(event.length for event in bar.events)]
    lead = bar.meter.length - bar.length
    ends = list(accumulate(bar.meter.beats))
    beat = [sum(1 for end in ends if end <= lead + start) for start in starts]
    felt = [(number, 0) for number in beat[: len(bar.events)]]
    if is_early:
        return felt
    lengths = {event.length for event in bar.events}
    if len(lengths) == 1 and bar.meter.is_even and len(felt) % len(ends) and not bar.is_pickup:
        return [(0, 1)] * len(felt)
    for group in tuplet_groups(bar.events):
        if beat[group.first] != beat[group.last]:
            for index in range(group.first, group.last + 1):
                felt[index] = (group.first, 1)
    return felt


_BEAMS = {(True, True): "continue", (False, True): "begin", (True, False): "end"}


def _tempo(measure: ET.Element, tempo: TempoWord) -> None:
    direction = _add(measure, "direction", placement="above")
    metronome = _add(_add(direction, "direction-type"), "metronome")
    _beat_unit(metronome, tempo.beat)
    if tempo.equals:
        _beat_unit(metronome, tempo.equals)
    else:
        _add(metronome, "per-minute", tempo.per_minute)


def _beat_unit(metronome: ET.Element, value: str) -> None:
    _add(metronome, "beat-unit", TYPES[value[0]])
    if value.endswith("."):
        _add(metronome, "beat-unit-dot")

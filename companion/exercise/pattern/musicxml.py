"""A pattern as a MusicXML score, so that the whole program can read it like any other.

The same lines always give the same bytes: a student's log knows a score by its content, and
a pattern that was practised last year must be found again. Change what is written here, and
every log loses the patterns in it; a test holds the bytes.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import dataclass

from companion.exercise.pattern.engraving import Engraver, add
from companion.exercise.pattern.lines import Line
from companion.exercise.pattern.reading import barlines_travel, divisions
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


def write_musicxml(lines: Sequence[Line], title: str, key: str = "") -> bytes:
    """The pattern as a MusicXML 4.0 document."""
    root = ET.Element("score-partwise", {"version": "4.0"})
    add(add(root, "work"), "work-title", title)
    listed = add(root, "part-list")
    for number, line in enumerate(lines, 1):
        _list(listed, f"P{number}", line)
    pieces, fifths = divisions(lines), fifths_of(key)
    travel = barlines_travel(lines)
    for number, line in enumerate(lines, 1):
        part = add(root, "part", id=f"P{number}")
        _part(part, line, Engraver(pieces, fifths), is_free=travel and number > 1)
    ET.indent(root, space=" ")
    text: str = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _list(listed: ET.Element, id_: str, line: Line) -> None:
    entry = add(listed, "score-part", id=id_)
    add(entry, "part-name", line.name)
    instrument = _instrument(line)
    if instrument.program:
        named = add(entry, "score-instrument", id=f"{id_}-I1")
        add(named, "instrument-name", line.name)
        midi = add(entry, "midi-instrument", id=f"{id_}-I1")
        add(midi, "midi-program", str(instrument.program))


def _instrument(line: Line) -> Instrument:
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


def _part(part: ET.Element, line: Line, engraver: Engraver, *, is_free: bool) -> None:
    before: Meter | None = None
    shift = 0 if line.bars[0].is_pickup else 1
    for index, bar in enumerate(line.bars):
        signs = {"implicit": "yes"} if bar.is_pickup else {}
        signs |= {"non-controlling": "yes"} if is_free else {}
        measure = add(part, "measure", number=str(index + shift), **signs)
        if bar.meter != before:
            _attributes(measure, line, engraver, bar.meter, is_first=not index)
            before = bar.meter
        engraver.bar(measure, bar)
    barline = add(part[-1], "barline", location="right")
    add(barline, "bar-style", "light-heavy")


def _attributes(
    measure: ET.Element, line: Line, engraver: Engraver, meter: Meter, *, is_first: bool
) -> None:
    attributes = add(measure, "attributes")
    instrument = _instrument(line)
    if is_first:
        add(attributes, "divisions", str(engraver.divisions))
        add(add(attributes, "key"), "fifths", str(engraver.fifths))
    time = add(attributes, "time")
    for beats, beat_type in _PAIR.findall(meter.text):
        add(time, "beats", beats.strip("+"))
        add(time, "beat-type", beat_type)
    if is_first:
        clef = add(attributes, "clef")
        add(clef, "sign", instrument.sign)
        if instrument.line:
            add(clef, "line", str(instrument.line))
        if instrument is _HANDS:
            add(add(attributes, "staff-details"), "staff-lines", "1")

"""One bar of a pattern as MusicXML: accidentals, beams, ties and brackets worked out once.

They follow from the notes, the key and the meter; typed by hand they are where a score
goes wrong, so the notation leaves them out. Children stand in the order the schema of
MusicXML 4.0 asks for.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate

from companion.exercise.pattern.lines import LineBar
from companion.exercise.pattern.notation import TYPES, UNPITCHED, Event, TempoWord, tuplet_groups

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
            note = add(measure, "note")
            add(note, "rest", measure="yes")
            add(note, "duration", str(int(bar.length * self.divisions)))
            add(note, "voice", "1")
            return
        beams, brackets = _beams(bar), _brackets(bar.events)
        for index, event in enumerate(bar.events):
            self._note(measure, event, beams[index], brackets.get(index, ()))

    def _note(
        self, measure: ET.Element, event: Event, beams: Sequence[str], brackets: Sequence[str]
    ) -> None:
        note = add(measure, "note")
        ties = ["stop"] * self.is_tied + ["start"] * event.is_tied
        alter = _pitch(note, event.pitch)
        add(note, "duration", str(int(event.length * self.divisions)))
        for tie in ties:
            add(note, "tie", type=tie)
        add(note, "voice", "1")
        add(note, "type", TYPES[event.value])
        for _ in range(event.dots):
            add(note, "dot")
        if alter is not None and not self.is_tied:
            self._accidental(note, event.pitch, alter)
        if event.tuplet:
            modification = add(note, "time-modification")
            add(modification, "actual-notes", str(event.tuplet[0]))
            add(modification, "normal-notes", str(event.tuplet[1]))
        for level, state in enumerate(beams, 1):
            add(note, "beam", state, number=str(level))
        _notations(note, event, ties, brackets)
        self.is_tied = event.is_tied

    def _accidental(self, note: ET.Element, pitch: str, alter: int) -> None:
        """Where neither the key nor an earlier note of the bar says it."""
        place = pitch[0] + pitch[-1]
        if self.altered.get(place, alter_in_key(pitch[0], self.fifths)) != alter:
            self.altered[place] = alter
            add(note, "accidental", _ACCIDENTALS[alter])


def add(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
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
        add(note, "rest")
        return None
    if pitch == UNPITCHED:
        unpitched = add(note, "unpitched")
        add(unpitched, "display-step", "E")  # on the one line of its staff, as in treble clef
        add(unpitched, "display-octave", "4")
        return None
    element, alter = add(note, "pitch"), _ALTERS[pitch[1:-1]]
    add(element, "step", pitch[0])
    if alter:
        add(element, "alter", str(alter))
    add(element, "octave", pitch[-1])
    return alter


def _notations(
    note: ET.Element, event: Event, ties: Sequence[str], brackets: Sequence[str]
) -> None:
    if not (ties or brackets or event.signs):
        return
    notations = add(note, "notations")
    for tie in ties:
        add(notations, "tied", type=tie)
    for bracket in brackets:
        shown = {"bracket": "yes"} if bracket == "start" else {}
        add(notations, "tuplet", type=bracket, number="1", **shown)
    if event.signs:
        articulations = add(notations, "articulations")
        for sign in event.signs:
            add(articulations, sign)


def _brackets(events: Sequence[Event]) -> dict[int, list[str]]:
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
    direction = add(measure, "direction", placement="above")
    metronome = add(add(direction, "direction-type"), "metronome")
    _beat_unit(metronome, tempo.beat)
    if tempo.equals:
        _beat_unit(metronome, tempo.equals)
    else:
        add(metronome, "per-minute", tempo.per_minute)


def _beat_unit(metronome: ET.Element, value: str) -> None:
    add(metronome, "beat-unit", TYPES[value[0]])
    if value.endswith("."):
        add(metronome, "beat-unit-dot")

"""One bar of the notation as MusicXML: what a player sees on each note, worked out once.

Accidentals, beams, ties and triplet brackets follow from the notes and the meter. Written by
hand they are where a score goes wrong, so the notation leaves them out and this module adds
them in the order the MusicXML 4.0 schema asks for.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import dataclass, field

from assets.demo.notation import Mark, Note, Pitch

SHARPENED_BY_KEY = frozenset({"F", "C"})
"""D major, and B minor in the middle: one signature for the whole piece."""

TYPES = {"h": "half", "q": "quarter", "e": "eighth", "s": "16th", "t": "eighth"}
BEAMS = {"e": 1, "t": 1, "s": 2}
ACCIDENTALS = {-1: "flat", 0: "natural", 1: "sharp"}
ARTICULATIONS = {"'": "staccato", "-": "tenuto", ">": "accent"}


@dataclass(slots=True)
class Carried:
    """What one part carries over the barline."""

    tied: Pitch | None = None
    """The pitch a tie is holding."""
    hairpin: bool = False
    """Whether a hairpin is open."""
    triplet: int = 0
    """How many notes of the running triplet have been written."""
    altered: dict[tuple[str, int], int] = field(default_factory=dict)
    """Accidentals printed in this bar; emptied at each barline."""


def add(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
    """A child element; attribute names write `_` for the hyphen."""
    named = {name.replace("_", "-"): value for name, value in attributes.items()}
    child = ET.SubElement(parent, tag, named)
    child.text = text or None
    return child


def engrave_bar(bar: ET.Element, events: list[Note | Mark], beat: int, carried: Carried) -> None:
    """Add the notes and marks of one bar."""
    carried.altered.clear()
    notes = [event for event in events if isinstance(event, Note)]
    beams = iter(beams_of(notes, beat))
    for event in events:
        if isinstance(event, Mark):
            engrave_mark(bar, event, carried)
        else:
            engrave_note(bar, event, next(beams), carried)


def beams_of(notes: list[Note], beat: int) -> list[list[str]]:
    """For each note its beams, outermost first: flagged neighbours within one beat."""
    starts = [sum(note.ticks for note in notes[:place]) for place in range(len(notes))]
    return [
        [
            beam_state(notes, starts, beat, place, level)
            for level in range(1, levels_of(note) + 1)
            if beam_state(notes, starts, beat, place, level)
        ]
        for place, note in enumerate(notes)
    ]


def levels_of(note: Note) -> int:
    """How many beams the note could carry."""
    return BEAMS.get(note.length, 0) if note.pitch else 0


def beam_state(notes: list[Note], starts: list[int], beat: int, place: int, level: int) -> str:
    """begin, continue or end; nothing for a note that keeps its flag."""

    def joined(left: int) -> bool:
        """Whether this note and the next hang on one beam."""
        if left < 0 or left + 1 >= len(notes):
            return False
        same_beat = starts[left] // beat == starts[left + 1] // beat
        return same_beat and min(levels_of(notes[left]), levels_of(notes[left + 1])) >= level

    before, after = joined(place - 1), joined(place)
    return {(True, True): "continue", (False, True): "begin", (True, False): "end"}.get(
        (before, after), ""
    )


def engrave_note(bar: ET.Element, note: Note, beams: list[str], carried: Carried) -> None:
    """Add one note or rest, children in the order of the schema's note type."""
    element = add(bar, "note")
    if note.pitch is None:
        add(element, "rest", **({"measure": "yes"} if note.length == "*" else {}))
    else:
        engrave_pitch(element, note.pitch)
    add(element, "duration", str(note.ticks))
    ties = ties_of(note, carried)
    for tie in ties:
        add(element, "tie", type=tie)
    add(element, "voice", "1")
    if note.length != "*":
        add(element, "type", TYPES[note.length])
    if note.dotted:
        add(element, "dot")
    if note.pitch is not None:
        engrave_accidental(element, note, "stop" in ties, carried)
    if note.length == "t":
        modification = add(element, "time-modification")
        add(modification, "actual-notes", "3")
        add(modification, "normal-notes", "2")
    for level, state in enumerate(beams, start=1):
        add(element, "beam", state, number=str(level))
    engrave_notations(element, note, ties, carried)


def engrave_pitch(element: ET.Element, pitch: Pitch) -> None:
    """Add the pitch; a natural needs no alter."""
    child = add(element, "pitch")
    add(child, "step", pitch.step)
    if pitch.alter:
        add(child, "alter", str(pitch.alter))
    add(child, "octave", str(pitch.octave))


def ties_of(note: Note, carried: Carried) -> list[str]:
    """stop where a tie arrives, start where one leaves; a tie must reach its own pitch."""
    arriving = carried.tied
    assert arriving is None or arriving == note.pitch, f"a tie from {arriving} to {note.pitch}"
    carried.tied = note.pitch if "~" in note.signs else None
    return ["stop"] * (arriving is not None) + ["start"] * ("~" in note.signs)


def engrave_accidental(element: ET.Element, note: Note, tied: bool, carried: Carried) -> None:
    """Add an accidental where key and bar do not already say it, or as a courtesy."""
    assert note.pitch is not None
    pitch = note.pitch
    place = (pitch.step, pitch.octave)
    usual = 1 if pitch.step in SHARPENED_BY_KEY else 0
    needed = carried.altered.get(place, usual) != pitch.alter and not tied
    if needed:
        carried.altered[place] = pitch.alter
    if needed or "?" in note.signs:
        courtesy = {} if needed else {"cautionary": "yes"}
        add(element, "accidental", ACCIDENTALS[pitch.alter], **courtesy)


def engrave_notations(element: ET.Element, note: Note, ties: list[str], carried: Carried) -> None:
    """Add everything that is printed around the note, and nothing if there is nothing."""
    notations = ET.Element("notations")
    for tie in ties:
        add(notations, "tied", type=tie)
    engrave_slurs(notations, note)
    if note.length == "t":
        engrave_triplet(notations, carried)
    engrave_signs(notations, note.signs)
    if len(notations):
        element.append(notations)


def engrave_slurs(notations: ET.Element, note: Note) -> None:
    """Add the ends of slurs; one slur at a time is enough for a string player."""
    if note.closes_slur:
        add(notations, "slur", type="stop", number="1")
    if note.opens_slur:
        add(notations, "slur", type="start", number="1")


def engrave_signs(notations: ET.Element, signs: str) -> None:
    """Add bowing, articulations and fermata."""
    if "^" in signs:
        add(add(notations, "technical"), "up-bow")
    articulations = [name for sign, name in ARTICULATIONS.items() if sign in signs]
    if articulations:
        group = add(notations, "articulations")
        for name in articulations:
            add(group, name)
    if "@" in signs:
        add(notations, "fermata", type="upright")


def engrave_triplet(notations: ET.Element, carried: Carried) -> None:
    """Open the bracket on the first note of a triplet and close it on the third."""
    if carried.triplet == 0:
        add(notations, "tuplet", type="start", number="1", bracket="yes")
    if carried.triplet == 2:
        add(notations, "tuplet", type="stop", number="1")
    carried.triplet = (carried.triplet + 1) % 3


def engrave_mark(bar: ET.Element, mark: Mark, carried: Carried) -> None:
    """Add a direction: dynamics and hairpins below the staff, words and tempo above."""
    below = mark.kind in {"dynamic", "hairpin"}
    direction = add(bar, "direction", placement="below" if below else "above")
    shown = add(direction, "direction-type")
    match mark.kind:
        case "dynamic":
            add(add(shown, "dynamics"), mark.text)
        case "hairpin":
            engrave_hairpin(shown, mark.text, carried)
        case "tempo":
            engrave_tempo(shown, mark.text)
        case _:
            add(shown, "words", mark.text)


def engrave_hairpin(shown: ET.Element, sign: str, carried: Carried) -> None:
    """Open or end a hairpin; two may not be open at once in one part."""
    assert carried.hairpin == (sign == "="), f"hairpin out of turn: {sign}"
    carried.hairpin = sign != "="
    kind = {"<": "crescendo", ">": "diminuendo", "=": "stop"}[sign]
    add(shown, "wedge", type=kind, number="1")


def engrave_tempo(shown: ET.Element, text: str) -> None:
    """Add a metronome mark: a beat and its speed, or two note values that last the same."""
    left, right = text.split("=")
    metronome = add(shown, "metronome")
    engrave_beat_unit(metronome, left)
    if right.isdigit():
        add(metronome, "per-minute", right)
    else:
        engrave_beat_unit(metronome, right)


def engrave_beat_unit(metronome: ET.Element, value: str) -> None:
    """Add one note value of a metronome mark."""
    add(metronome, "beat-unit", TYPES[value[0]])
    if value.endswith("."):
        add(metronome, "beat-unit-dot")

"""Write the demo quartet as MusicXML, from the notes in `music`.

The score is made by a script so that every bar is added up against its meter before anything
is written; the file beside it is only its product. From the project's root:
`python -m assets.demo.compose [FILE]`.
"""

from __future__ import annotations

import sys
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from pathlib import Path

from assets.demo.engrave import Carried, add, engrave_bar
from assets.demo.music import SECTIONS
from assets.demo.notation import DIVISIONS, Section, bars_of, beat_of, read_bar, ticks_of

SCORE = Path(__file__).with_name("chain_ferry.musicxml")

TITLE = "Four for the Chain Ferry"
MOVEMENT = "Over and back before dark"
CREDIT = "composed for this program"

HEADER = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"\
 "http://www.musicxml.org/dtds/partwise.dtd">
"""


@dataclass(frozen=True, slots=True)
class Player:
    """One line of the score."""

    name: str
    short: str
    sound: str
    """The instrument's name among MusicXML's standard sounds."""
    program: int
    """General MIDI program, counted from 1."""
    clef: tuple[str, int]
    """Sign and line."""


PLAYERS = (
    Player("Violin I", "Vl. I", "strings.violin", 41, ("G", 2)),
    Player("Violin II", "Vl. II", "strings.violin", 41, ("G", 2)),
    Player("Viola", "Vla.", "strings.viola", 42, ("C", 3)),
    Player("Cello", "Vc.", "strings.cello", 43, ("F", 4)),
)


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of one part, before it is engraved."""

    text: str
    meter: str
    section: Section
    opens_section: bool


def compose() -> str:
    """The whole score as MusicXML 4.0 text."""
    root = ET.Element("score-partwise", {"version": "4.0"})
    describe(root)
    list_players(add(root, "part-list"))
    for place, player in enumerate(PLAYERS):
        write_part(add(root, "part", id=f"P{place + 1}"), player, bars_for(place), place == 0)
    ET.indent(root, space="  ")
    return HEADER + ET.tostring(root, encoding="unicode") + "\n"


def bars_for(place: int) -> list[Bar]:
    """Every bar of one part; each section must hold as many bars in every part."""
    bars: list[Bar] = []
    for section in SECTIONS:
        counts = {len(bars_of(voice)) for voice in section.voices}
        assert len(counts) == 1, f"{section.letter}: the parts hold {sorted(counts)} bars"
        bars += [
            Bar(text, section.meters[place], section, number == 0)
            for number, text in enumerate(bars_of(section.voices[place]))
        ]
    return bars


def describe(root: ET.Element) -> None:
    """Add titles, credits and identification."""
    add(add(root, "work"), "work-title", TITLE)
    add(root, "movement-title", MOVEMENT)
    identification = add(root, "identification")
    add(identification, "creator", CREDIT, type="composer")
    add(identification, "rights", "Composed for this program, under the program's own licence.")
    supports = add(identification, "encoding")
    for element in ("accidental", "beam"):
        add(supports, "supports", element=element, type="yes")
    for kind, words in (("title", TITLE), ("subtitle", MOVEMENT), ("composer", CREDIT)):
        credit = add(root, "credit", page="1")
        add(credit, "credit-type", kind)
        add(credit, "credit-words", words, justify="right" if kind == "composer" else "center")


def list_players(part_list: ET.Element) -> None:
    """Add the four instruments under one bracket."""
    group = add(part_list, "part-group", type="start", number="1")
    add(group, "group-symbol", "bracket")
    add(group, "group-barline", "yes")
    for number, player in enumerate(PLAYERS, start=1):
        score_part = add(part_list, "score-part", id=f"P{number}")
        add(score_part, "part-name", player.name)
        add(score_part, "part-abbreviation", player.short)
        instrument = add(score_part, "score-instrument", id=f"P{number}-I1")
        add(instrument, "instrument-name", player.name)
        add(instrument, "instrument-sound", player.sound)
        midi = add(score_part, "midi-instrument", id=f"P{number}-I1")
        add(midi, "midi-channel", str(number))
        add(midi, "midi-program", str(player.program))
    add(part_list, "part-group", type="stop", number="1")


def write_part(part: ET.Element, player: Player, bars: list[Bar], top: bool) -> None:
    """Add all bars of one part; only the top part carries letters and layout."""
    carried = Carried()
    meter = ""
    for number, bar in enumerate(bars):
        implicit = {"implicit": "yes"} if bar.section.upbeat else {}
        measure = add(part, "measure", number=str(number), **implicit)
        if top and bar.opens_section and bar.section.letter:
            add(measure, "print", new_system="yes")
        write_attributes(measure, player, bar.meter, first=number == 0, changed=bar.meter != meter)
        if top and bar.opens_section:
            open_section(measure, bar.section)
        full = bar.section.upbeat or ticks_of(bar.meter)
        engrave_bar(measure, read_bar(bar.text, full), beat_of(bar.meter), carried)
        meter = bar.meter
    close_part(part, carried)


def write_attributes(
    measure: ET.Element, player: Player, meter: str, *, first: bool, changed: bool
) -> None:
    """Add divisions, key and clef to the first bar, and the meter wherever it changes."""
    if not changed:
        return
    attributes = add(measure, "attributes")
    if first:
        add(attributes, "divisions", str(DIVISIONS))
        key = add(attributes, "key")
        add(key, "fifths", "2")
        add(key, "mode", "major")
    time = add(attributes, "time")
    for tag, figure in zip(("beats", "beat-type"), meter.split("/"), strict=True):
        add(time, tag, figure)
    if first:
        clef = add(attributes, "clef")
        add(clef, "sign", player.clef[0])
        add(clef, "line", str(player.clef[1]))


def open_section(measure: ET.Element, section: Section) -> None:
    """Add the rehearsal letter, and the speed for players that only count quarters."""
    if section.letter:
        direction = add(measure, "direction", placement="above")
        add(add(direction, "direction-type"), "rehearsal", section.letter)
    if section.quarters_a_minute:
        add(measure, "sound", tempo=section.quarters_a_minute)


def close_part(part: ET.Element, carried: Carried) -> None:
    """Add the double bar at the end; nothing may still be held there."""
    assert carried.tied is None and not carried.hairpin and carried.triplet == 0
    barline = add(part[-1], "barline", location="right")
    add(barline, "bar-style", "light-heavy")


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else SCORE
    target.write_text(compose(), encoding="utf-8", newline="\n")

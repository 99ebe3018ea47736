"""Nothing of the part itself is lost: our reader, two libraries and an engraver agree.

The scores are a general library's corpus: a fourteenth-century piece with parts in
different meters (bars counted from its own XML), a quartet, one with transposing parts,
and a song whose piano part has two staves.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from pathlib import Path

import music21
import partitura
import pytest
import verovio
from lxml import etree
from lxml.etree import _Element

from companion.part.player_entrances import Cues
from companion.score.clock import BarPlace
from companion.score.model import Note, Part, PartBar
from tests.part.schema import faults, is_valid
from tests.part.taking import Taken, corpus, take

MIXED = "trecento/PMFC_24_6-Gloria_Spiritus_et_alme.xml"
TRIPLE = "trecento/PMFC_24_8-Gloria Ciconia 8.xml"
QUARTET = "beethoven/opus18no1/movement3.mxl"
TRANSPOSING = "trecento/PMFC_01-Rex quem metrorum.xml"
SONG = "schubert/Lindenbaum.xml"
SCORES = [MIXED, TRIPLE, QUARTET, TRANSPOSING, SONG]


def parts_of(name: str) -> list[int]:
    count = len(etree.fromstring(corpus(name)).findall("part"))
    return list(range(1, count + 1))


def each(names: list[str]) -> Iterator[object]:
    for name in names:
        for part in parts_of(name):
            yield pytest.param(name, part, id=f"{Path(name).stem[:14]}-{part}")


def canonical(musicxml: bytes, part: int) -> list[bytes]:
    """The notes of a part in the XML's canonical form, without line breaks between elements."""
    root = etree.fromstring(musicxml, etree.XMLParser(remove_blank_text=True))
    notes = root.findall("part")[part - 1].iter("note")
    return [etree.tostring(note, method="c14n", with_tail=False) for note in notes]


def own_notes(part: Part, ticks: int) -> list[list[tuple[object, ...]]]:
    return [
        [
            (note.onset / ticks, note.length / ticks, note.pitch, note.tie, note.staff, note.tuplet)
            for note in bar.notes
            if not note.is_cue
        ]
        for bar in part.bars
    ]


@pytest.mark.parametrize(("name", "part"), each(SCORES))
def test_without_cues_every_note_is_the_sources_to_the_letter(name: str, part: int) -> None:
    taken = take(corpus(name), part, Cues.NONE)
    assert canonical(taken.musicxml, 1) == canonical(corpus(name), part)


@pytest.mark.parametrize("cues", [Cues.SHORT, Cues.FULL])
@pytest.mark.parametrize(("name", "part"), each(SCORES))
def test_with_cues_our_reader_finds_the_same_notes_meters_and_labels(
    name: str, part: int, cues: Cues
) -> None:
    taken = take(corpus(name), part, cues)
    before, after = taken.clock.score.parts[part - 1], taken.part
    assert own_notes(after, taken.read.ticks) == own_notes(before, taken.clock.score.ticks)
    assert [bar.meter for bar in after.bars] == [bar.meter for bar in before.bars]
    assert [bar.label for bar in after.bars] == [bar.label for bar in before.bars]
    assert after.semitones == before.semitones


@pytest.mark.parametrize("version", ["2.0", "3.1"])
@pytest.mark.parametrize("name", SCORES)
def test_a_valid_source_gives_a_valid_part(name: str, version: str) -> None:
    if not is_valid(corpus(name), version):
        pytest.skip(f"the source does not follow the schema of {version}")
    for part in parts_of(name):
        for cues in Cues:
            assert faults(take(corpus(name), part, cues).musicxml, version) == []


def music21_notes(part: music21.stream.Part) -> list[list[tuple[object, ...]]]:
    return [
        sorted(
            (
                float(note.getOffsetInHierarchy(measure)),
                float(note.quarterLength),
                tuple(pitch.nameWithOctave for pitch in note.pitches),
                note.tie.type if note.tie else "",
            )
            for note in measure.recurse().notes
            if note.style.noteSize != "cue"
        )
        for measure in part.getElementsByClass("Measure")
    ]


@pytest.mark.parametrize("name", [MIXED, QUARTET, TRANSPOSING])
def test_music21_reads_the_same_notes_from_the_part_as_from_the_score(name: str) -> None:
    score = music21.converter.parse(corpus(name).decode(), format="musicxml")
    for part, source in enumerate(score.parts, 1):
        taken = take(corpus(name), part)
        read = music21.converter.parse(taken.musicxml.decode(), format="musicxml")
        assert music21_notes(read.parts[0]) == music21_notes(source)


def partitura_notes(path: Path, part: int) -> list[tuple[object, ...]]:
    """As partitura reads them, cue notes left out by its own rule."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = partitura.load_musicxml(str(path), ignore_invisible_objects=True)
    found = score.parts[part - 1]
    quarters = found.quarter_map
    return sorted(
        (
            round(float(quarters(note.start.t)), 6),
            round(float(quarters(note.end_tied.t)), 6),
            note.midi_pitch,
        )
        for note in found.notes_tied
    )


@pytest.mark.parametrize("name", [MIXED, TRANSPOSING])
def test_partitura_reads_the_same_notes_from_the_part_as_from_the_score(
    name: str, tmp_path: Path
) -> None:
    whole, alone = tmp_path / "whole.musicxml", tmp_path / "alone.musicxml"
    whole.write_bytes(corpus(name))
    for part in parts_of(name):
        alone.write_bytes(take(corpus(name), part).musicxml)
        assert partitura_notes(alone, 1) == partitura_notes(whole, part)


MEI = "{http://www.music-encoding.org/ns/mei}"


def engraved_notes(musicxml: bytes, staves: set[str]) -> list[list[str]]:
    """As the engraver takes them in: for each bar that has any, its notes in order."""
    engraver = verovio.toolkit()
    engraver.loadData(musicxml.decode())
    mei = etree.fromstring(engraver.getMEI().encode())
    bars = [
        [
            re.sub(r' (xml:id|stem\.dir|dur\.ppq|n)="[^"]*"', "", _tag(note))
            for staff in measure.iter(f"{MEI}staff")
            if staff.get("n") in staves
            for note in staff.iter(f"{MEI}note")
            if note.get("cue") is None
        ]
        for measure in mei.iter(f"{MEI}measure")
    ]
    return [bar for bar in bars if bar]


def _tag(note: _Element) -> str:
    """A note's own attributes, and those of the chord it belongs to."""
    parent = note.getparent()
    both = list(note.items())
    if parent is not None and parent.tag == f"{MEI}chord":
        both += parent.items()
    return "".join(f' {name!s}="{value!s}"' for name, value in sorted(both) if "id" not in name)


@pytest.mark.parametrize("name", [MIXED, QUARTET])
def test_the_engraver_takes_in_the_same_notes_from_the_part_as_from_the_score(name: str) -> None:
    for part in parts_of(name):
        taken = take(corpus(name), part)
        assert engraved_notes(taken.musicxml, {"1"}) == engraved_notes(corpus(name), {str(part)})


def test_the_engraver_takes_in_both_hands_of_a_piano() -> None:
    taken = take(corpus(SONG), 2)
    assert engraved_notes(taken.musicxml, {"1", "2"}) == engraved_notes(corpus(SONG), {"2", "3"})


@pytest.mark.parametrize("name", SCORES)
def test_every_cue_sounds_when_another_part_does_and_where_the_player_rests(name: str) -> None:
    """Each cue note lies inside a note of the same name (octaves aside) in another part."""
    for part in parts_of(name):
        taken = take(corpus(name), part, Cues.FULL)
        heard = sounding(taken, part - 1)
        for bar, place in zip(taken.part.bars, taken.clock.places[part - 1], strict=True):
            for start, stop, note in spans(bar, place, taken.read.ticks):
                if note.is_cue:
                    pitch = pitch_class(note.pitch, taken.part.semitones)
                    assert any(a <= start and stop <= z for a, z in heard.get(pitch, []))
                    assert not any(
                        own.onset < note.onset + note.length and note.onset < own.onset + own.length
                        for own in bar.notes
                        if own.is_struck
                    )


Span = tuple[Fraction, Fraction]


def spans(bar: PartBar, place: BarPlace, ticks: int) -> Iterator[tuple[Fraction, Fraction, Note]]:
    """Notes of a bar with the clock times from and to which they sound."""
    for note in bar.notes:
        if note.pitch and note.length:
            start = place.start + Fraction(note.onset, ticks) * place.pace
            yield start, start + Fraction(note.length, ticks) * place.pace, note


def sounding(taken: Taken, own: int) -> dict[int, list[Span]]:
    """When each pitch class sounds in the parts of the score other than the player's."""
    found: dict[int, list[Span]] = {}
    score = taken.clock.score
    for index, (part, places) in enumerate(zip(score.parts, taken.clock.places, strict=True)):
        for bar, place in zip(part.bars, places, strict=True) if index != own else ():
            for start, stop, note in spans(bar, place, score.ticks):
                found.setdefault(pitch_class(note.pitch, part.semitones), []).append((start, stop))
    return found


@cache
def pitch_class(pitch: str, semitones: int) -> int:
    """The sounding pitch class, by a library's own arithmetic."""
    return int(music21.pitch.Pitch(pitch.replace("b", "-")).midi + semitones) % 12

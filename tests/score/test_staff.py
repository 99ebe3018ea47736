"""Where notes stand on a staff, beside a general library, printed files and an engraver."""

from __future__ import annotations

import re
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from companion.score.clock import Clock
from companion.score.laying import lay
from companion.score.model import TIE_STARTS, TIE_STOPS, Mark, Note, Part, PartBar, Score
from companion.score.readers import score_source
from companion.score.readers.musicxml.reading import read_musicxml
from companion.score.staff import (
    StaffBar,
    beams,
    clef_of,
    height_of,
    key_heights,
    key_signature,
    note_value,
    staff_bars,
)
from tests.score.readers.test_referee import corpus_files, in_slice
from tests.score.written import score

music21 = pytest.importorskip("music21")
verovio = pytest.importorskip("verovio")

CLEFS = {
    "G2": music21.clef.TrebleClef,
    "G2-8": music21.clef.Treble8vbClef,
    "G1": music21.clef.FrenchViolinClef,
    "C1": music21.clef.SopranoClef,
    "C2": music21.clef.MezzoSopranoClef,
    "C3": music21.clef.AltoClef,
    "C4": music21.clef.TenorClef,
    "C5": music21.clef.CBaritoneClef,
    "F3": music21.clef.FBaritoneClef,
    "F4": music21.clef.BassClef,
    "F5": music21.clef.SubBassClef,
}
"""The source's name of a clef → the same clef of music21, the outside source here. Of its
octave clefs only the one below the treble clef has lines of its own; the others are left out."""


@given(
    st.sampled_from(sorted(CLEFS)),
    st.sampled_from("CDEFGAB"),
    st.sampled_from(["", "#", "b", "##", "bb", "^", "#~"]),
    st.integers(0, 9),
)
def test_every_pitch_stands_where_music21_puts_it(
    clef: str, letter: str, alter: str, octave: int
) -> None:
    above_lowest_line = (
        music21.pitch.Pitch(f"{letter}{octave}").diatonicNoteNum - CLEFS[clef]().lowestLine
    )
    assert height_of(f"{letter}{alter}{octave}", clef_of(clef)) == above_lowest_line


def test_an_octave_clef_moves_its_line_by_an_octave() -> None:
    """MusicXML 4.0, clef-octave-change: a treble clef up an octave has G5 on its line."""
    assert height_of("G5", clef_of("G2+8")) == height_of("G4", clef_of("G2")) == 2
    assert height_of("F2", clef_of("F4-8")) == height_of("F3", clef_of("F4")) == 6
    assert height_of("G6", clef_of("G2+15")) == 2


def test_a_clef_that_names_no_pitch_is_read_as_treble() -> None:
    assert clef_of("percussion2") == clef_of("G2")
    assert height_of("x", clef_of("percussion")) == 4


@pytest.mark.parametrize("clef", ["G2", "C3", "C4", "F4"])
@pytest.mark.parametrize("fifths", [-7, -4, -1, 1, 3, 6, 7])
def test_the_key_stands_where_the_engraver_puts_it(clef: str, fifths: int) -> None:
    assert key_heights(fifths, clef_of(clef)) == engraved_key(clef, fifths)


def engraved_key(clef: str, fifths: int) -> list[int]:
    engraver = verovio.toolkit()
    engraver.loadData(
        '<score-partwise version="3.1"><part-list><score-part id="P1"><part-name/></score-part>'
        '</part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>'
        f"<key><fifths>{fifths}</fifths></key><clef><sign>{clef[0]}</sign><line>{clef[1]}</line>"
        "</clef></attributes><note><rest/><duration>4</duration><type>whole</type></note>"
        "</measure></part></score-partwise>"
    )
    page = etree.fromstring(engraver.renderToSVG(1).encode())
    lines = [
        float(re.findall(r"[\d.]+", line.get("d", ""))[1])
        for line in page.iterfind('.//{*}g[@class="staff"]/{*}path')
    ]
    step = (max(lines) - min(lines)) / 8
    signs = [
        float(re.findall(r"translate\([\d.]+, ([\d.]+)", use.get("transform", ""))[0])
        for use in page.iterfind('.//{*}g[@class="keySig"]//{*}use')
    ]
    return [round((max(lines) - y) / step) for y in signs]


def test_sharps_and_flats_come_in_the_order_of_fifths() -> None:
    assert list(key_signature(3)) == ["F", "C", "G"]  # A major: F, C and G sharp
    assert list(key_signature(-2)) == ["B", "E"]  # B flat major
    assert key_signature(0) == {}


WRITTEN = {
    **{"sharp": "#", "flat": "b", "natural": "n", "double-sharp": "##", "sharp-sharp": "##"},
    **{"flat-flat": "bb"},
}


def test_no_accidental_is_drawn_that_a_file_does_not_print() -> None:
    """What music21's corpus prints in <accidental>; warnings that the rules do not ask for are
    fewer with us. Three places of its slice leave out what the rules ask for."""
    printed: Counter[tuple[str, int, int, str, str]] = Counter()
    ours: Counter[tuple[str, int, int, str, str]] = Counter()
    for path in corpus_files():
        if not in_slice(path):
            continue
        source = score_source.read(path)
        score = read_musicxml(source.musicxml, path.stem)
        root = etree.fromstring(source.musicxml)
        for index, part in enumerate(root.findall("part")):
            if part.find(".//accidental") is None:
                continue
            printed += Counter(
                (path.name, index, bar, f"{note.findtext('pitch/step')}", WRITTEN[sign])
                for bar, measure in enumerate(part.iterfind("measure"))
                for note in measure.iterfind("note")
                if (sign := note.findtext("accidental")) in WRITTEN
            )
            clock = lay(score)
            ours += Counter(
                (path.name, index, bar, head.pitch[0], head.accidental)
                for staff in range(1, score.parts[index].staves + 1)
                for bar, drawn in enumerate(staff_bars(clock, index, staff, clock.bars))
                for note in drawn.notes
                for head in note.heads
                if head.accidental
            )
    assert sum((ours & printed).values()) > 1500
    assert sum((ours - printed).values()) <= 3


def clock_of(*notes: Note, fifths: int = 0, marks: tuple[Mark, ...] = ()) -> Clock:
    """A bar of 4/4 with 12 ticks to the quarter, and another with the same notes."""
    bars = tuple(PartBar(f"{n}", "4/4", 48, notes, marks, fifths=fifths) for n in (1, 2))
    return lay(Score("A study", "", 12, (Part("P1", "Viola", bars),)))


def drawn(*notes: Note, fifths: int = 0, marks: tuple[Mark, ...] = ()) -> tuple[StaffBar, ...]:
    clock = clock_of(*notes, fifths=fifths, marks=marks)
    return staff_bars(clock, 0, 1, clock.bars)


def signs(bar: StaffBar) -> list[str]:
    return [head.accidental for note in bar.notes for head in note.heads]


def test_an_accidental_holds_to_the_barline_and_a_tie_carries_it_over() -> None:
    first, second = drawn(
        Note(0, 12, "F#4"), Note(12, 12, "F#4"), Note(24, 12, "F4"), Note(36, 12, "F#5")
    )
    assert signs(first) == ["#", "", "n", "#"]  # another octave has its own sign
    assert signs(second) == ["#", "", "n", "#"]
    tied, _ = drawn(Note(0, 24, "F#4", tie=TIE_STOPS), Note(24, 24, "F#4", tie=TIE_STARTS))
    assert signs(tied) == ["", "#"]


def test_the_key_is_not_repeated_at_the_note() -> None:
    bar, _ = drawn(Note(0, 24, "F#4"), Note(24, 24, "F4"), fifths=2)
    assert signs(bar) == ["", "n"]


def test_a_clef_inside_a_bar_holds_from_there_and_in_the_next_bar() -> None:
    first, second = drawn(Note(0, 24, "C4"), Note(24, 24, "C4"), marks=(Mark(24, "clef", "C4"),))
    assert [head.height for note in first.notes for head in note.heads] == [-2, 6]
    assert second.clef == clef_of("C4")


def test_note_values_with_dots() -> None:
    assert note_value(Fraction(3, 2)) == (Fraction(1), 1)
    assert note_value(Fraction(7, 4)) == (Fraction(1), 2)
    assert note_value(Fraction(1, 4)) == (Fraction(1, 4), 0)
    assert note_value(Fraction(5, 4)) == (Fraction(1), 0)  # no one note lasts as long


def test_a_triplet_is_told_by_its_printed_value() -> None:
    bar, _ = drawn(*(Note(4 * at, 4, "C4", tuplet=(3, 2)) for at in range(3)), Note(12, 36, "C4"))
    assert [(note.value, note.flags) for note in bar.notes[:3]] == [(Fraction(1, 2), 1)] * 3
    assert [note.dots for note in bar.notes] == [0, 0, 0, 1]


def test_beams_as_written_and_by_beats_where_none_are() -> None:
    eighths = [Note(6 * at, 6, "C4", begins_beam=at in (0, 4)) for at in range(8)]
    assert [len(group) for group in beams(drawn(*eighths)[0])] == [4, 4]
    plain = [Note(6 * at, 6, "C4") for at in range(8)]
    assert [len(group) for group in beams(drawn(*plain)[0])] == [2, 2, 2, 2]


def test_a_pickup_of_three_eighths_is_beamed_as_the_end_of_its_bar() -> None:
    clock = lay(score(V="4/4 e e e | w"))
    (pickup,) = staff_bars(clock, 0, 1, clock.bars[:1])
    assert [[note.at for note in group] for group in beams(pickup)] == [
        [Fraction(1, 2), Fraction(1)]
    ]

"""The score a pattern becomes: valid MusicXML that others read as the teacher meant it.

Sources: the schemas of MusicXML 2.0 and 3.1 (W3C Music Notation Community Group) as music21
and partitura carry them; music21 as an independent reader.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from lxml import etree

from companion.exercise.pattern.pattern import read_pattern
from companion.exercise.pattern.pattern_score import write_musicxml
from companion.exercise.pattern.tonality import fifths_of
from companion.findings.conflicts import Conflict, conflicts_of
from companion.score.laying import lay
from companion.score.model import Score
from companion.score.readers.musicxml.reading import read_musicxml
from tests.exercise.heard import heard, pitches
from tests.part.schema import faults
from tests.score.written import score as written

EVERYTHING = """
Violin: 6/8 up A4e | q.=60 D5q. A4e B4e C#5e | D5q.~ D5e re F#4e | 2/4 q.=q E4e3*3 Bb4e> B4e' | D4h
Cello:  6/8 up re  | D3q.~ D3q.              | -                 | 2/4 s5*5 q                | h
Clap:   6/8 up re  | e2 e2 e4*4              | s.*4 e*3          | 2/4 q q                   | -
"""


def made(pattern: str, key: str = "") -> bytes:
    return write_musicxml(read_pattern(pattern), "A study", key)


def read(pattern: str, key: str = "") -> Score:
    return read_musicxml(made(pattern, key), "A study")


def pulls(score: Score) -> tuple[Conflict, ...]:
    return conflicts_of(lay(score))


# A rest that stands for the whole bar is not told from others before version 3.0.
@pytest.mark.parametrize("version", ["2.0", "3.1"])
def test_the_score_obeys_the_published_schema(version: str) -> None:
    pattern = (
        EVERYTHING if version == "3.1" else EVERYTHING.replace(" -  ", " rh.").replace("-", "h")
    )
    assert faults(made(pattern, "D"), version) == []


@pytest.mark.parametrize("version", ["2.0", "3.1"])
def test_travelling_barlines_obey_the_schema_too(version: str) -> None:
    assert faults(made("3/4 q q q | h. | h. | h.\n3+3/8 q. q. | h. | % | %"), version) == []
    travelling = made("3/4 q q q | h.\n2/4 q q | h | h")
    assert b'non-controlling="yes"' in travelling
    assert faults(travelling, version) == []


def test_nothing_had_to_be_mended_in_reading_it() -> None:
    assert read(EVERYTHING, "D").slips == ()


def test_it_is_the_score_written_by_other_means() -> None:
    """The same music through the tests' own notation, which shares no code with this one."""
    plain = "6/8 q. e e e | q. rq e | 2/4 e3 e3 e3 e e | h"
    ours, theirs = read(plain.replace("e3 e3 e3", "e3*3")), written(V=plain)
    assert [bar.meter for bar in ours.parts[0].bars] == [bar.meter for bar in theirs.parts[0].bars]
    for one, other in zip(ours.parts[0].bars, theirs.parts[0].bars, strict=True):
        assert [
            (Fraction(note.onset, ours.ticks), Fraction(note.length, ours.ticks), note.is_rest)
            for note in one.notes
        ] == [
            (Fraction(note.onset, theirs.ticks), Fraction(note.length, theirs.ticks), note.is_rest)
            for note in other.notes
        ]


def test_another_reader_hears_the_same_notes() -> None:
    violin, cello, clap = heard(made(EVERYTHING, "D"))
    assert [bar.meter for bar in violin] == ["6/8", "6/8", "6/8", "2/4", "2/4"]
    assert violin[3].strikes == {Fraction(k, 6) for k in range(3)} | {
        Fraction(1, 2),
        Fraction(3, 4),
    }
    assert cello[3].strikes == {Fraction(k, 10) for k in range(5)} | {Fraction(1, 2)}
    assert clap[1].strikes == {Fraction(0), Fraction(1, 4)} | {
        Fraction(1, 2) + Fraction(k, 8) for k in range(4)
    }
    assert pitches(made(EVERYTHING, "D"))[0] == [
        *(69, 74, 69, 71, 73, 74, 74, 66, 64, 64, 64, 70, 71, 62)
    ]


def test_accidentals_stand_where_key_and_bar_do_not_say_it() -> None:
    root = etree.fromstring(made("4/4 F#4q F4q F4q F#4q | F#4q C#5q Bb4q B4q", "D"))
    shown = [note.findtext("accidental") for note in root.iter("note")]
    assert shown == [None, "natural", None, "sharp", None, None, "flat", "natural"]


def test_beams_join_the_flags_of_one_felt_beat() -> None:
    root = etree.fromstring(made("6/8 e e e e s s e | 2/4 e. s re e"))
    beams = [[beam.text for beam in note.findall("beam")] for note in root.iter("note")]
    assert beams == [
        *(["begin"], ["continue"], ["end"]),
        *(["begin"], ["continue", "begin"], ["continue", "end"], ["end"]),
        *(["begin"], ["end"], [], []),
    ]


def test_a_bracket_stands_over_each_triplet() -> None:
    root = etree.fromstring(made("2/4 e3*6"))
    brackets = [
        [tuplet.get("type") for tuplet in note.iter("tuplet")] for note in root.iter("note")
    ]
    assert brackets == [["start"], [], ["stop"], ["start"], [], ["stop"]]


def test_clefs_follow_the_instrument_or_the_notes() -> None:
    lines = "Viola: 2/4 D4h\nCello: 2/4 D3h\nBassoon: 2/4 D2h\nOboe: 2/4 D5h\nClap: 2/4 h"
    root = etree.fromstring(made(lines))
    signs = [(clef.findtext("sign"), clef.findtext("line")) for clef in root.iter("clef")]
    assert signs == [("C", "3"), ("F", "4"), ("F", "4"), ("G", "2"), ("percussion", None)]


def test_the_marks_say_what_stays() -> None:
    score = read("6/8 q. q. | 2/4 q.=q q q | 6/8 e=e q. q.")
    told = [a for a in lay(score).assumptions if a.what == "tempo relation"]
    assert [(a.bar, a.value, a.because) for a in told] == [
        (2, "beat = beat", "mark"),
        (3, "note = note", "mark"),
    ]


def test_three_against_two_is_found_whether_written_in_notes_or_in_meters() -> None:
    notes = pulls(read("2/4 e3*3 q\n2/4 e e q"))
    meters = pulls(read("6/8 e*6\n2/4 e*4"))
    assert [(c.ratio, c.level, c.basis) for c in notes] == [((3, 2), "beat", "rhythm")]
    assert [(c.ratio, c.level, c.basis) for c in meters] == [((3, 2), "beat", "meter")]


def test_travelling_barlines_share_the_quarter() -> None:
    clock = lay(read("3/4 q q q | h. | h. | h.\n4/4 q q q q | w | w"))
    assert not clock.barlines_coincide
    assert [place.start for place in clock.places[0]] == [0, 3, 6, 9]
    assert [place.start for place in clock.places[1]] == [0, 4, 8]


# Signatures of the circle of fifths (common practice, no source).
@pytest.mark.parametrize(
    ("key", "fifths"),
    [
        *(("", 0), ("C", 0), ("D", 2), ("Bb", -2), ("F# major", 6), ("Cb", -7)),
        *(("A minor", 0), ("F# minor", 3), ("C minor", -3), ("D# minor", 6)),
    ],
)
def test_a_key_has_its_signature(key: str, fifths: int) -> None:
    assert fifths_of(key) == fifths
    assert {bar.fifths for bar in read("2/4 D4h", key).parts[0].bars} == {fifths}


def test_the_same_pattern_always_gives_the_same_bytes() -> None:
    assert made(EVERYTHING, "D") == made(EVERYTHING, "D")

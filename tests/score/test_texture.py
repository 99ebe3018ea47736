"""Sounds on the common grid. Pitch numbers: MIDI 1.0, middle C = 60 (octave names as in
MusicXML 4.0, element octave: octave 4 begins with middle C)."""

from fractions import Fraction

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.score.laying import lay
from companion.score.model import TIE_STARTS, TIE_STOPS, Mark, Note, Part, PartBar, Score
from companion.score.texture import beats_between, sounding_notes, texture_of
from tests.score.written import TICKS, score


def test_parts_in_two_meters_share_one_grid() -> None:
    texture = texture_of(lay(score(V="6/8 e e e e e e | q. q.", C="2/4 e e e e | q q")))
    upper, lower = texture.streams
    beat = int(1 / texture.grain)
    assert [Fraction(at, beat) for at in upper.strikes[:4]] == [
        0,
        Fraction(1, 3),
        Fraction(2, 3),
        1,
    ]
    assert [Fraction(at, beat) for at in lower.strikes[:3]] == [0, Fraction(1, 2), 1]
    assert upper.sounds[-1].end == lower.sounds[-1].end == texture.bars[-1].end


def test_tied_notes_are_one_sound_across_the_barline() -> None:
    music = score(V="2/4 h | h")
    first, second = music.parts[0].bars
    bars = (
        msgspec.structs.replace(first, notes=(Note(0, 2 * TICKS, "A4", tie=TIE_STARTS),)),
        msgspec.structs.replace(second, notes=(Note(0, 2 * TICKS, "A4", tie=TIE_STOPS),)),
    )
    part = msgspec.structs.replace(music.parts[0], bars=bars)
    (stream,) = texture_of(lay(msgspec.structs.replace(music, parts=(part,)))).streams
    (sound,) = stream.sounds
    assert (sound.bar, sound.end, sound.pitch) == (1, stream.own_bars[-1].end, 69)


@given(
    st.lists(st.tuples(st.integers(1, 8), st.booleans(), st.booleans()), min_size=1, max_size=12)
)
def test_ties_join_exactly_the_notes_they_lead_to(written: list[tuple[int, bool, bool]]) -> None:
    """Each note: its length, whether a tie leads from it, whether it has the pitch before it."""
    notes: list[Note] = []
    heard: list[list[int]] = []
    at, pitch, is_held = 0, "A4", False
    for length, is_tied, is_same in written:
        joins = is_held and is_same
        pitch = pitch if is_same else ("E4" if pitch == "A4" else "A4")
        tie = (TIE_STARTS if is_tied else 0) | (TIE_STOPS if is_held else 0)
        notes.append(Note(at, length, pitch, tie=tie))
        if joins:
            heard[-1][1] += length
        else:
            heard.append([at, length])
        at, is_held = at + length, is_tied
    part = Part("P1", "Viola", (PartBar("1", None, at, tuple(notes)),))
    (stream,) = texture_of(lay(Score("x", "", 1, (part,)))).streams
    assert [[sound.at, sound.length] for sound in stream.sounds] == heard


def test_an_accent_is_on_the_note_or_in_a_dynamic_that_stresses_one() -> None:
    notes = (
        Note(0, 2, "G3", marks=("accent",)),
        Note(2, 2, "A3", marks=("staccato",)),
        Note(4, 2, "B3"),
        Note(6, 2, "C4"),
        Note(8, 2, "D4"),
    )
    marks = (Mark(4, "dynamic", "sfz"), Mark(6, "dynamic", "f"), Mark(8, "words", "sfz"))
    part = Part("P1", "Viola", (PartBar("1", "5/4", 10, notes, marks),))
    (stream,) = texture_of(lay(Score("x", "", 2, (part,)))).streams
    assert [sound.is_accented for sound in stream.sounds] == [True, False, True, False, False]


def test_every_grain_lies_in_the_bar_that_begins_at_or_before_it() -> None:
    texture = texture_of(lay(score(V="6/8 e | q. q. | 2/4 q q", C="6/8 re | q. q.")))
    inside = [bar.number for bar in texture.bars for _ in range(bar.length)]
    assert [texture.bar_at(at).number for at in range(len(inside))] == inside
    assert texture.bar_at(len(inside) + 5).number == 3 and texture.bar_at(-1).number == 1
    assert [bar.lead > 0 for bar in texture.bars] == [True, False, False]
    assert texture.of("P2").own_bars == texture.bars[:2]
    with pytest.raises(KeyError):
        texture.of("P3")


def test_barlines_of_ones_own_and_a_pickup_keep_one_grid() -> None:
    texture = texture_of(
        lay(score(free=frozenset({"C"}), V="6/8 e | q. q. | q. q.", C="2/4 e | q q | q q | q q"))
    )
    upper, lower = texture.streams
    assert [bar.lead for bar in texture.bars] == [0, 0, 0]
    assert [bar.lead / upper.own_bars[1].length for bar in upper.own_bars] == [5 / 6, 0, 0]
    assert [bar.lead / lower.own_bars[1].length for bar in lower.own_bars] == [3 / 4, 0, 0, 0]
    assert [bar.start for bar in lower.own_bars[:2]] == [0, upper.own_bars[0].end]


def test_a_stretch_in_one_meter_is_as_long_as_its_full_bars() -> None:
    music = score(
        V="free q | 3/4 q q q | q q | h. | h. | 2/4 h", C="free q | 3/4 h. | h. | h. | h. | 2/4 h"
    )
    three, two = texture_of(lay(music)).streams[0].runs
    quarter = three.quarter
    assert 3 * quarter == three.full and 2 * quarter == two.full
    assert [bar.number for bar in three.bars] == [2, 3, 4, 5]
    ends = [quarter * count for count in (1, 13, 15)]
    assert ends == [Fraction(at) for at in (three.start, three.end, two.end)]


def test_a_quarter_lasts_as_long_in_a_bar_that_is_short_or_long() -> None:
    """A last bar that gives back the pickup changes meter in many pieces: its notes do not."""
    short = texture_of(lay(score(V="3/4 q q q | 4/4 h.", C="3/4 h. | 4/4 q q q")))
    long = texture_of(lay(score(V="3/4 q q q | q q q q | q q q q", C="3/4 h. | q h. | h.")))
    for texture in (short, long):
        beat = int(1 / texture.grain)
        for stream in texture.streams:
            assert {run.quarter for run in stream.runs} == {beat}
            assert beats_between(stream, 0, texture.bars[-1].end) == texture.bars[-1].end // beat


def test_a_chord_has_one_strike_and_its_highest_note_in_the_melody() -> None:
    notes = (Note(0, 2, "D4"), Note(0, 2, "G3", in_chord=True), Note(2, 2, "E4"))
    part = Part("P1", "Viola", (PartBar("1", "2/4", 4, notes),))
    (stream,) = texture_of(lay(Score("x", "", 2, (part,)))).streams
    assert [sound.pitch for sound in stream.sounds] == [55, 62, 64] and len(stream.strikes) == 2
    assert [sound.pitch for sound in stream.melody] == [62, 64]


def test_grace_notes_cues_and_rests_do_not_sound() -> None:
    notes = (
        Note(0, 0, "G4", is_grace=True),
        Note(0, 2, "A4", is_cue=True),
        Note(0, 2, ""),
        Note(2, 2, "E4"),
    )
    part = Part("P1", "Viola", (PartBar("1", "2/4", 4, notes),))
    (stream,) = texture_of(lay(Score("x", "", 2, (part,)))).streams
    assert [sound.pitch for sound in stream.sounds] == [64]


@pytest.mark.parametrize(
    ("written", "semitones", "number"),
    [
        ("C4", 0, 60),
        ("D4", 0, 62),
        ("E4", 0, 64),
        ("F4", 0, 65),
        ("G4", 0, 67),
        ("A4", 0, 69),
        ("B4", 0, 71),
        ("F#4", 0, 66),
        ("Bb3", 0, 58),
        ("C##5", 0, 74),
        ("Cb4", 0, 59),
        ("B#3", 0, 60),
        ("C3", -12, 36),
        ("C-1", 0, 0),
        ("D~4", 0, 61),
        ("D^4", 0, 62),
        ("x", 0, None),
    ],
)
def test_sounding_pitch(written: str, semitones: int, number: int | None) -> None:
    assert sounding_notes(written, semitones) == number

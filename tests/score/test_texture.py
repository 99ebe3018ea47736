"""Sounds on the common grid. Pitch numbers: MIDI 1.0, middle C = 60 (octave names as in
MusicXML 4.0, element octave: octave 4 begins with middle C)."""

from fractions import Fraction

import msgspec
import pytest

from companion.score.laying import lay
from companion.score.model import TIE_STARTS, TIE_STOPS, Note, Part, PartBar, Score
from companion.score.texture import sounding_notes, texture_of
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


def test_a_chord_has_one_strike_and_its_highest_note_in_the_melody() -> None:
    notes = (Note(0, 2, "G3"), Note(0, 2, "D4", in_chord=True), Note(2, 2, "E4"))
    part = Part("P1", "Viola", (PartBar("1", "2/4", 4, notes),))
    (stream,) = texture_of(lay(Score("x", "", 2, (part,)))).streams
    assert len(stream.sounds) == 3 and len(stream.strikes) == 2
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
        ("A4", 0, 69),
        ("F#4", 0, 66),
        ("Bb3", 0, 58),
        ("C##5", 0, 74),
        ("Cb4", 0, 59),
        ("B#3", 0, 60),
        ("C3", -12, 36),
        ("x", 0, None),
    ],
)
def test_sounding_pitch(written: str, semitones: int, number: int | None) -> None:
    assert sounding_notes(written, semitones) == number

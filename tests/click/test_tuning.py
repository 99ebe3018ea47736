"""Pitches by name and in hertz."""

from __future__ import annotations

import pytest

from companion.click.synth.tuning import hertz, note_told, parse_a, parse_note
from companion.errors import RequestError


@pytest.mark.parametrize(
    ("note", "wanted"),
    [("C4", 261.626), ("A4", 440.0), ("C2", 65.406), ("E5", 659.255), ("G3", 195.998)],
)
def test_the_frequencies_of_equal_temperament(note: str, wanted: float) -> None:
    # Table of equal temperament at A = 440 in acoustics handbooks (three decimals, from memory).
    assert hertz(parse_note(note)) == pytest.approx(wanted, abs=0.0006)


def test_low_pitch_is_a_semitone_under_440() -> None:
    # 440 / 2^(1/12) = 415.305: the customary 415 is that pitch rounded.
    assert hertz(70, 415.305) == pytest.approx(440.0, abs=0.001)


@pytest.mark.parametrize(
    ("text", "pitch"), [("A3", 57), ("a3", 57), ("Bb2", 46), ("F#4", 66), ("B♭2", 46), ("C##4", 62)]
)
def test_notes_are_read_as_they_are_printed(text: str, pitch: int) -> None:
    # Middle C is C4 and 60: numbering of the MIDI 1.0 specification with C4 as middle C.
    assert parse_note(text) == pitch


@pytest.mark.parametrize("text", ["", "H3", "A", "A33", "Ab", "F#", "A-2", "C9", "3A"])
def test_other_words_are_no_notes(text: str) -> None:
    with pytest.raises(RequestError):
        parse_note(text)


def test_a_note_is_told_with_its_sign() -> None:
    assert [note_told(pitch) for pitch in (57, 46, 60)] == ["A3", "B♭2", "C4"]


@pytest.mark.parametrize(("text", "a"), [("442", 442.0), ("A=415", 415.0), ("443.5", 443.5)])
def test_a_tuning_is_read(text: str, a: float) -> None:
    assert parse_a(text) == a


@pytest.mark.parametrize("text", ["414", "466", "high", "nan", "inf", "", "-440"])
def test_a_tuning_out_of_range_is_refused(text: str) -> None:
    with pytest.raises(RequestError):
        parse_a(text)

"""What the others play: as they play it, not as it is printed."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from companion.click.plan.timbres import ToneName
from companion.click.synth.others_notes import OthersNote, others_notes
from companion.errors import RequestError
from companion.score.passage import Passage
from tests.click.playing import playing


def heard(passage: Passage, *parts: int) -> list[tuple[Fraction | int, ...]]:
    return [(n.into, n.length, n.pitch) for n in others_notes(passage, parts or (1,))]


def only(passage: Passage) -> OthersNote:
    (note,) = others_notes(passage, (1,))
    return note


def test_a_tie_over_the_barline_is_one_note() -> None:
    passage = playing("Violin: A4 2 | A4 2", "Cello: A2 1, E3 1- | E3 1, A2 1")
    assert heard(passage) == [(0, 1, 45), (1, 2, 52), (3, 1, 45)]


def test_a_note_in_six_eight_stands_where_it_meets_two_four() -> None:
    # Three eighths of 6/8 fill the beat of 2/4; the clock counts felt beats.
    passage = playing(
        "Violin: A4 2", "Cello: A2 1/2, B2 1/2, C3 1/2, D3 3/2", meters=("2/4", "6/8")
    )
    assert [note[0] for note in heard(passage)] == [0, Fraction(1, 3), Fraction(2, 3), 1]


def test_a_transposing_part_sounds_at_concert_pitch() -> None:
    passage = playing("Violin: A4 2", "Double bass: A2 2", semitones=(0, -12))
    assert only(passage).pitch == 33


def test_a_note_begun_before_the_passage_is_held_when_it_starts() -> None:
    passage = replace(playing("Violin: A4 2 | A4 2", "Cello: A2 2- | A2 2"), first=2, last=2)
    assert heard(passage) == [(0, 2, 45)]


def test_nobody_plays_on_after_the_end() -> None:
    passage = replace(playing("Violin: A4 2 | A4 2", "Cello: A2 2- | A2 2"), first=1, last=1)
    assert heard(passage) == [(0, 2, 45)]


@pytest.mark.parametrize(
    ("mark", "length"), [("staccato", Fraction(1, 2)), ("staccatissimo", Fraction(1, 4))]
)
def test_a_short_note_is_shorter(mark: str, length: Fraction) -> None:
    # Half and a quarter of the written value: common practice, no source.
    passage = playing("Violin: A4 2", f"Cello: A2 1 {mark}, r 1")
    assert only(passage).length == length


def test_pizzicato_holds_until_arco() -> None:
    passage = playing("Violin: A4 2 | A4 2", "Cello: A2 1, B2 1 pizz | C3 1, D3 1 arco")
    tones = [note.tone for note in others_notes(passage, (1,))]
    assert tones == [None, ToneName.PLUCKED, ToneName.PLUCKED, None]


def test_a_stroke_without_pitch_is_plucked_low() -> None:
    note = only(playing("Violin: A4 2", "Drum: x 1, r 1"))
    assert (note.tone, note.pitch) == (ToneName.PLUCKED, 45)


def test_an_accent_is_stronger() -> None:
    passage = playing("Violin: A4 2", "Cello: A2 1 accent, A2 1")
    first, second = others_notes(passage, (1,))
    assert first.strength > second.strength == 1


def test_my_own_part_is_no_other() -> None:
    with pytest.raises(RequestError, match="your own part"):
        others_notes(playing("Violin: A4 2", "Cello: A2 2"), (0,))


def test_a_part_that_is_not_there_is_refused() -> None:
    with pytest.raises(RequestError, match="no part 4"):
        others_notes(playing("Violin: A4 2", "Cello: A2 2"), (3,))

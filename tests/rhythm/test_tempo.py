"""Tempos. Beats a minute and what a beat is: common practice, no source."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.rhythm.tempo import FASTEST, SLOWEST, Tempo, checked_tempo, nearest_tempo, parse_bpm


@pytest.mark.parametrize(
    ("text", "bpm"),
    [
        ("72", Fraction(72)),
        ("72.5", Fraction(145, 2)),
        ("72,5", Fraction(145, 2)),
        (" 145 / 2 ", Fraction(145, 2)),
        ("10", Fraction(10)),
        ("400", Fraction(400)),
        ("66.667", Fraction(66667, 1000)),
    ],
)
def test_a_tempo_is_read_exactly(text: str, bpm: Fraction) -> None:
    assert parse_bpm(text) == bpm


@pytest.mark.parametrize(
    "text", ["", "fast", "7 2 x", "-60", "60/0", "1e999999999", "72.", "nan", "٧٢", "9" * 5000]
)
def test_what_is_no_tempo_is_said_in_one_sentence(text: str) -> None:
    with pytest.raises(RequestError, match="is not a tempo.*72.5"):
        parse_bpm(text)


@pytest.mark.parametrize("text", ["9.999", "401", "0", "8001/20"])
def test_nobody_plays_below_ten_or_above_four_hundred(text: str) -> None:
    with pytest.raises(RequestError, match="outside 10–400"):
        parse_bpm(text)


def test_a_tempo_names_its_beat() -> None:
    tempo = Tempo(Fraction(80), Fraction(3, 2))
    assert str(tempo) == "dotted quarter = 80"


def test_a_tempo_cannot_count_a_beat_of_no_length() -> None:
    with pytest.raises(ValueError, match="cannot last"):
        Tempo(Fraction(60), Fraction(0))


def test_a_tempo_out_of_range_cannot_be_made() -> None:
    with pytest.raises(RequestError):
        Tempo(Fraction(5), Fraction(1))


@given(st.fractions(SLOWEST, FASTEST, max_denominator=9999))
def test_every_fraction_comes_back_from_its_own_text(bpm: Fraction) -> None:
    assert parse_bpm(str(bpm)) == bpm


@given(st.fractions(min_value=-1000, max_value=1000))
def test_the_nearest_tempo_can_be_played_and_is_the_same_if_it_could(bpm: Fraction) -> None:
    near = nearest_tempo(bpm)
    assert checked_tempo(near) == near
    assert near == bpm or abs(near - bpm) <= min(abs(SLOWEST - bpm), abs(FASTEST - bpm))

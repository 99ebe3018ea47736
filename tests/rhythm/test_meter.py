"""Which beats are felt in which meter: common practice, no source, unless named."""

from fractions import Fraction

import pytest

from companion.errors import RequestError
from companion.rhythm.meter import note_name, parse


@pytest.mark.parametrize(
    ("text", "beats"),
    [
        ("6/8", ["3/2", "3/2"]),
        ("9/8", ["3/2", "3/2", "3/2"]),
        ("12/8", ["3/2"] * 4),
        ("6/4", ["3", "3"]),
        ("2/4", ["1", "1"]),
        ("3/4", ["1", "1", "1"]),
        ("4/4", ["1"] * 4),
        ("2/2", ["2", "2"]),
        ("3/8", ["1/2"] * 3),
        ("5/8", ["1/2"] * 5),
        ("3+4/8", ["3/2", "2"]),
        ("3+2/8", ["3/2", "1"]),
        ("3+2/4", ["1"] * 5),
        ("3/8+2/4", ["3/2", "1", "1"]),
    ],
)
def test_the_felt_beats_of_a_meter(text: str, beats: list[str]) -> None:
    assert [str(beat) for beat in parse(text).beats] == beats


def test_a_compound_beat_falls_into_three_and_a_simple_one_into_two() -> None:
    assert set(parse("6/8").divisions) == {3}
    assert set(parse("2/4").divisions) == {2}
    assert parse("6/8").is_compound and not parse("3/4").is_compound


def test_an_additive_meter_has_unequal_beats_that_fill_the_bar() -> None:
    meter = parse("3+4/8")
    assert not meter.is_even
    assert meter.length == Fraction(7, 2)
    assert meter.divisions == (3, 4)


@pytest.mark.parametrize("text", ["", "6", "6/0", "0/4", "a/b", "3+/8", "6/8+", "-3/4", "1e9/4"])
def test_what_is_no_meter_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(RequestError, match="not a meter"):
        parse(text)


def test_note_values_have_their_names() -> None:
    assert note_name(Fraction(3, 2)) == "dotted quarter"
    assert note_name(Fraction(2)) == "half"
    assert note_name(Fraction(1, 2)) == "eighth"
    assert note_name(Fraction(3)) == "dotted half"

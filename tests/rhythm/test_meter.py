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
        ("3/16+2/4", ["3/4", "1", "1"]),
        ("3/4+2/4", ["1"] * 5),
        ("6/8+2/4", ["3/2", "3/2", "1", "1"]),
        ("3+2/16", ["3/4", "1/2"]),
    ],
)
def test_the_felt_beats_of_a_meter(text: str, beats: list[str]) -> None:
    assert [str(beat) for beat in parse(text).beats] == beats


def test_a_compound_beat_falls_into_three_and_a_simple_one_into_two() -> None:
    assert set(parse("6/8").divisions) == {3}
    for text in ("2/4", "3/8", "3+2/4"):
        assert set(parse(text).divisions) == {2}
    assert parse("6/8").is_compound and not parse("3/4").is_compound
    assert not parse("3/8+2/4").is_compound and parse("3/8+2/4").divisions == (3, 2, 2)


def test_an_additive_meter_has_unequal_beats_that_fill_the_bar() -> None:
    meter = parse("3+4/8")
    assert not meter.is_even
    assert meter.length == Fraction(7, 2)
    assert meter.divisions == (3, 4)


@pytest.mark.parametrize("text", ["", "6", "6/0", "0/4", "a/b", "3+/8", "6/8+", "-3/4", "1e9/4"])
def test_what_is_no_meter_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(RequestError, match="not a meter"):
        parse(text)


@pytest.mark.parametrize(
    ("quarters", "name"),
    [
        ("8", "breve"),
        ("4", "whole"),
        ("2", "half"),
        ("1", "quarter"),
        ("1/2", "eighth"),
        ("1/4", "16th"),
        ("1/8", "32nd"),
        ("1/16", "64th"),
        ("12", "dotted breve"),
        ("3", "dotted half"),
        ("3/2", "dotted quarter"),
        ("3/32", "dotted 64th"),
        ("1/3", "1/3 of a quarter"),
        ("5", "5 quarters"),
        ("5/4", "5/4 quarters"),
    ],
)
def test_note_values_have_their_names(quarters: str, name: str) -> None:
    assert note_name(Fraction(quarters)) == name


def test_the_numbers_of_a_meter_reach_from_1_to_1024() -> None:
    assert len(parse("1024/4").beats) == 1024 and len(parse("1/4").beats) == 1
    assert parse("1/1024").length == Fraction(4, 1024) and parse("1/1").length == 4
    for text in ("1025/4", "512+513/4", "1/1025"):
        with pytest.raises(RequestError, match="1 to 1024"):
            parse(text)


def test_meters_are_equal_if_they_are_written_alike() -> None:
    assert parse("6/8") == parse(" 6 / 8 ") and hash(parse("6/8")) == hash(parse("6 / 8"))
    assert parse("6/8") != parse("3/4") and parse("6/8") != "6/8"
    assert str(parse(" 3+4 / 8")) == "3+4/8"

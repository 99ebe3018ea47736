"""Tempo relations at a change of meter: common practice, no source."""

from fractions import Fraction

import pytest

from companion.rhythm.meter import parse
from companion.rhythm.tempo_relation import Same, by_custom, pace_after, what_stayed


@pytest.mark.parametrize(
    ("old", "new", "same"),
    [
        ("6/8", "2/4", Same.BEAT),
        ("2/4", "6/8", Same.BEAT),
        ("6/8", "2/2", Same.BEAT),
        ("9/8", "3/4", Same.BEAT),
        ("12/8", "4/4", Same.BEAT),
        ("6/8", "3/4", Same.NOTE),
        ("3/4", "2/4", Same.NOTE),
        ("4/4", "2/2", Same.NOTE),
        ("6/8", "9/8", Same.NOTE),
        ("2/4", "3+2/8", Same.NOTE),
    ],
)
def test_the_custom_keeps_the_beat_only_between_simple_and_compound(
    old: str, new: str, same: Same
) -> None:
    assert by_custom(parse(old), parse(new)) is same


def test_beat_equals_beat_makes_an_eighth_half_as_long_again() -> None:
    pace = pace_after(Same.BEAT, parse("6/8"), parse("2/4"), Fraction(2, 3))
    assert pace == 1
    assert pace / 2 == Fraction(2, 3) / 2 * Fraction(3, 2)


def test_note_equals_note_leaves_every_value_alone() -> None:
    assert pace_after(Same.NOTE, parse("6/8"), parse("2/4"), Fraction(2, 3)) == Fraction(2, 3)


def test_what_stayed_is_told_from_the_paces() -> None:
    six, two = parse("6/8"), parse("2/4")
    assert what_stayed(six, two, Fraction(2, 3), Fraction(1)) is Same.BEAT
    assert what_stayed(six, two, Fraction(2, 3), Fraction(2, 3)) is Same.NOTE
    assert what_stayed(six, two, Fraction(2, 3), Fraction(5, 7)) is None

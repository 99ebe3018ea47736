"""Counting aloud. The syllables are common practice, no source; where the strokes fall is held
against the published resultants: J. Schillinger, The Schillinger System of Musical Composition
(1946), Book I, as reproduced in a course text ("Course B", fig. 21, p. 25)."""

import re
from fractions import Fraction
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.counting import (
    common_grid,
    count_aloud,
    count_bar,
    count_pulses,
    pulses_of_beats,
    where_it_falls,
)
from companion.rhythm.meter import parse


@pytest.mark.parametrize(
    ("more", "fewer", "said", "falls"),
    [
        (3, 2, "1 2& 3", "1 and the & of 2"),
        (2, 3, "1 2", "1, two thirds after 1 and a third after 2"),
        (4, 3, "1 2 3 4", "1, a third after 2 and two thirds after 3"),
        (3, 4, "1 2& 3", "1, three quarters after 1, the & of 2 and a quarter after 3"),
        (5, 2, "1 2 3& 4 5", "1 and the & of 3"),
        (5, 3, "1 2 3 4 5", "1, two thirds after 2 and a third after 4"),
        (5, 4, "1 2 3& 4 5", "1, a quarter after 2, the & of 3 and three quarters after 4"),
        (8, 3, "1 2 3 4 5 6 7 8", "1, two thirds after 3 and a third after 6"),
        (6, 4, "1 2& 3 4 5& 6", "1, the & of 2, 4 and the & of 5"),
        (3, 1, "1 2 3", "1"),
    ],
)
def test_the_common_count(more: int, fewer: int, said: str, falls: str) -> None:
    assert count_aloud(more, fewer) == said
    assert where_it_falls(more, fewer) == falls


SCHILLINGER = {
    (3, 2): "2 1 1 2",
    (4, 3): "3 1 2 2 1 3",
    (5, 3): "3 2 1 3 1 2 3",
    (7, 4): "4 3 1 4 2 2 4 1 3 4",
    (8, 5): "5 3 2 5 1 4 4 1 5 2 3 5",
    (9, 8): "8 1 7 2 6 3 5 4 4 5 3 6 2 7 1 8",
}


PARTS = {"a": 1, "an": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7}
OF = {"third": 3, "quarter": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8}


def place(words: str) -> Fraction:
    """`two thirds after 3` as a place in the count, from 0."""
    if words.startswith("the & of "):
        return int(words[9:]) - 1 + Fraction(1, 2)
    if " after " not in words:
        return Fraction(int(words) - 1)
    part, number = words.split(" after ")
    if "/" in part:
        return int(number) - 1 + Fraction(part)
    many, of = part.split()
    return int(number) - 1 + Fraction(PARTS[many], OF[of.removesuffix("s")])


@pytest.mark.parametrize(("ratio", "table"), SCHILLINGER.items())
def test_the_places_named_are_those_of_the_published_resultant(
    ratio: tuple[int, int], table: str
) -> None:
    more, fewer = ratio
    strokes = {0, *accumulate(int(word) for word in table.split())} - {more * fewer}
    said = [place(words) for words in re.split(", | and ", where_it_falls(more, fewer))]
    assert {int(at * fewer) for at in said} | {at for at in strokes if at % fewer == 0} == strokes


NUMBERS = st.integers(1, 9)


@given(NUMBERS, NUMBERS)
def test_every_place_is_exact_from_either_side(mine: int, theirs: int) -> None:
    said = [place(words) for words in re.split(", | and ", where_it_falls(mine, theirs))]
    assert said == [Fraction(k * mine, theirs) for k in range(theirs)]


@given(NUMBERS, NUMBERS)
def test_an_and_is_half_the_way_and_nothing_else(mine: int, theirs: int) -> None:
    count = count_aloud(mine, theirs).split()
    assert [word.rstrip("&") for word in count] == [str(k + 1) for k in range(mine)]
    halves = {k for k in range(mine) if (k + Fraction(1, 2)) * theirs % mine == 0}
    assert {k for k, word in enumerate(count) if word.endswith("&")} == halves


def test_four_against_three_is_counted_on_its_grid_of_twelve() -> None:
    assert common_grid(4, 3) == "12: 1 4 7 10 and 1 5 9"


@pytest.mark.parametrize(
    ("meter", "onsets", "said"),
    [
        ("2/4", "0 1", "1 2"),
        ("2/4", "0 1/2 1 3/2", "1 & 2 &"),
        ("4/4", "0 1 3/2 2 7/3 8/3 3 13/4", "1 2 & 3 la li 4 e & a"),
        ("2/2", "0 1 2 3", "1 & 2 &"),
        ("3/4", "", "1 2 3"),
        ("3/8", "0 1/4", "1 & 2 3"),
        ("6/8", "", "1 2 3 4 5 6"),
        ("6/8", "0 3/4", "1 2 & 3 4 5 6"),
        ("9/8", "0", "1 2 3 4 5 6 7 8 9"),
        ("3+4/8", "0", "1 2 3 1 2 3 4"),
        ("5/8", "0", "1 2 3 4 5"),
        ("2/4", "0 1/5 2/5 3/5 4/5 1", "1 · · · · 2"),
        ("2/4", "0 1/6 1/2 1", "1 ta la ta li ta 2"),
        ("2/4", "0 1/2 2 5/2", "1 & 2"),  # what lies in the next bar is not counted
        ("2/4", "-1/2 0 1", "1 2"),
        ("6/8", "0 3/2 7/4 9/4", "1 2 3 4 & 5 & 6"),
        ("6/8", "0 1/6 1/3", "1 · · 2 3 4 5 6"),
        ("3+4/8", "0 7/4", "1 2 3 1 & 2 3 4"),
    ],
)
def test_a_bar_is_counted_as_finely_as_it_is_played(meter: str, onsets: str, said: str) -> None:
    assert count_bar(parse(meter), map(Fraction, onsets.split())) == said


@given(
    st.sampled_from(["2/4", "3/4", "4/4", "6/8", "9/8", "2/2", "3+4/8", "5/8"]),
    st.sets(st.builds(Fraction, st.integers(0, 60), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8]))),
)
def test_every_note_of_a_bar_and_every_beat_has_a_syllable(
    meter: str, onsets: set[Fraction]
) -> None:
    words = count_bar(parse(meter), onsets).split()
    beats = {sum(parse(meter).beats[:number]) for number in range(len(parse(meter).beats))}
    assert len(words) >= len(beats | {onset for onset in onsets if onset < parse(meter).length})
    assert words[0] == "1" and sum(word.isdigit() for word in words) >= len(beats)


@pytest.mark.parametrize(
    ("groups", "counted", "beats"),
    [
        ((3, 2, 3), "1 2 3 4 5 6 7 8", "1, 4 and 6"),
        ((3, 2), "1 2 3 4 5", "1 and 4"),
        ((4,), "1 2 3 4", "1"),
    ],
)
def test_unequal_beats_are_counted_in_the_pulse_both_sides_share(
    groups: tuple[int, ...], counted: str, beats: str
) -> None:
    assert count_pulses(groups) == counted
    assert pulses_of_beats(groups) == beats

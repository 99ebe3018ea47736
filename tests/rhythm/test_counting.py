"""Counting aloud. The syllables are common practice, no source; where the strokes fall is held
against the published resultants: J. Schillinger, The Schillinger System of Musical Composition
(1946), Book I, as reproduced in a course text ("Course B", fig. 21, p. 25)."""

from fractions import Fraction
from itertools import accumulate
from math import gcd

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.counting import (
    between,
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
        (4, 3, "1 2& 3& 4", "1, the & of 2 and the & of 3"),
        (5, 2, "1 2 3& 4 5", "1 and the & of 3"),
        (5, 4, "1 2& 3& 4& 5", "1, the & of 2, the & of 3 and the & of 4"),
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


@pytest.mark.parametrize(("ratio", "table"), SCHILLINGER.items())
def test_syllables_stand_where_the_published_resultant_strikes(
    ratio: tuple[int, int], table: str
) -> None:
    more, fewer = ratio
    strokes = [0, *accumulate(int(word) for word in table.split())][:-1]
    off_the_numbers = [at // fewer + 1 for at in strokes if at % fewer]
    assert list(between(more, fewer)) == off_the_numbers


NUMBERS = st.integers(1, 16)


@given(NUMBERS, NUMBERS)
def test_every_stroke_has_its_syllable_and_no_other(m: int, n: int) -> None:
    more, fewer = max(m, n), min(m, n)
    count = count_aloud(more, fewer)
    assert count.replace("&", "").split() == [str(k) for k in range(1, more + 1)]
    assert count.count("&") == len(between(more, fewer)) == fewer - gcd(m, n)


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

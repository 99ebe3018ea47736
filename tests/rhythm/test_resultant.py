"""Resultants against a published table.

Source: J. Schillinger, The Schillinger System of Musical Composition (1946), Book I,
"Theory of Rhythm": durations of the resultant of two periodicities over their common
cycle of m × n units (as reproduced in a course text, "Course B", fig. 21, p. 25).
"""

from fractions import Fraction
from itertools import accumulate
from math import gcd

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.resultant import coincidences, even, resultant

SCHILLINGER = {
    (3, 2): "2 1 1 2",
    (4, 3): "3 1 2 2 1 3",
    (5, 2): "2 2 1 1 2 2",
    (5, 3): "3 2 1 3 1 2 3",
    (5, 4): "4 1 3 2 2 3 1 4",
    (6, 5): "5 1 4 2 3 3 2 4 1 5",
    (7, 2): "2 2 2 1 1 2 2 2",
    (7, 3): "3 3 1 2 3 2 1 3 3",
    (7, 4): "4 3 1 4 2 2 4 1 3 4",
    (7, 5): "5 2 3 4 1 5 1 4 3 2 5",
    (7, 6): "6 1 5 2 4 3 3 4 2 5 1 6",
    (8, 3): "3 3 2 1 3 3 1 2 3 3",
    (8, 5): "5 3 2 5 1 4 4 1 5 2 3 5",
    (8, 7): "7 1 6 2 5 3 4 4 3 5 2 6 1 7",
    (9, 2): "2 2 2 2 1 1 2 2 2 2",
    (9, 4): "4 4 1 3 4 2 2 4 3 1 4 4",
    (9, 5): "5 4 1 5 3 2 5 2 3 5 1 4 5",
    (9, 7): "7 2 5 4 3 6 1 7 1 6 3 4 5 2 7",
    (9, 8): "8 1 7 2 6 3 5 4 4 5 3 6 2 7 1 8",
}


@pytest.mark.parametrize(("ratio", "table"), SCHILLINGER.items())
def test_the_resultant_is_the_published_one(ratio: tuple[int, int], table: str) -> None:
    cycle = ratio[0] * ratio[1]
    units = [int(word) for word in table.split()]
    assert [s * cycle for s in resultant(*ratio)] == [0, *accumulate(units)][:-1]


def test_three_against_two_strikes_at_thirds_and_the_half() -> None:
    assert resultant(3, 2) == (Fraction(0), Fraction(1, 3), Fraction(1, 2), Fraction(2, 3))


NUMBERS = st.integers(1, 60)


@given(NUMBERS, NUMBERS)
def test_a_resultant_has_as_many_strokes_as_both_sides_less_their_meetings(m: int, n: int) -> None:
    assert len(resultant(m, n)) == m + n - gcd(m, n)


@given(NUMBERS, NUMBERS)
def test_a_resultant_reads_the_same_backwards(m: int, n: int) -> None:
    strokes = [*resultant(m, n), Fraction(1)]
    assert strokes == [1 - stroke for stroke in reversed(strokes)]


@given(NUMBERS, NUMBERS)
def test_the_sides_meet_where_both_strike(m: int, n: int) -> None:
    assert set(coincidences(m, n)) == set(even(m)) & set(even(n))

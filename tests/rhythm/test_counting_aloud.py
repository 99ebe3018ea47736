"""Counting two divisions at once."""

from itertools import pairwise
from math import gcd

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.counting import between, count_aloud, where_it_falls
from companion.wording.counting_sentences import bar_in_words
from tests.score.written import score
from tests.session.standing import opened_for_practice, three_against_two, whole


def test_three_against_two_is_one_two_and_three() -> None:
    # "1 2& 3" are sixths 0, 2, 3, 4: common practice, no source.
    assert count_aloud(3, 2) == "1 2& 3"
    assert where_it_falls(3, 2) == "1 and the & of 2"


@pytest.mark.parametrize(
    ("more", "fewer", "count"),
    [(4, 3, "1 2& 3& 4"), (5, 2, "1 2 3& 4 5"), (4, 2, "1 2 3 4"), (6, 4, "1 2& 3 4 5& 6")],
)
def test_an_and_stands_where_the_other_side_falls_between(
    more: int, fewer: int, count: str
) -> None:
    assert count_aloud(more, fewer) == count


@given(st.integers(2, 16), st.integers(2, 16))
def test_counts_and_ands_together_are_the_resultant(one: int, other: int) -> None:
    # m + n - gcd(m, n) strokes in all: J. Schillinger (1946), Book I, for m and n without a
    # common divisor m + n - 1.
    more, fewer = max(one, other), min(one, other)
    assert more + len(between(more, fewer)) == more + fewer - gcd(more, fewer)
    assert all(a < b for a, b in pairwise(between(more, fewer)))


def test_a_bar_is_told_with_who_pulls_how_to_count_and_the_meters() -> None:
    open_score = three_against_two()
    assert bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0]) == [
        "Bar 1: 3 against 2 in the beat, as written: Violin I, Viola in 3 · Violin II, Cello in 2",
        "Count: 1 2& 3 in each beat; you on every number, Violin II on 1 and the & of 2",
        "Meters: 6/8 Violin I, Viola · 2/4 Violin II, Cello",
    ]


def test_the_beats_in_which_it_pulls_are_named() -> None:
    open_score = opened_for_practice(score(V="4/4 e3 e3 e3 q q q", C="4/4 e e q q q"))
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])[1]
    assert told.startswith("Count: 1 2& 3 in beat 1; ")
    open_score = opened_for_practice(score(V="4/4 q q e3 e3 e3 e3 e3 e3", C="4/4 q q e e e e"))
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])[1]
    assert told.startswith("Count: 1 2& 3 in beats 3 and 4; ")


def test_the_side_in_two_is_told_where_it_falls() -> None:
    open_score = three_against_two()
    told = bar_in_words(open_score, whole(open_score, 1), 0, open_score.clock.bars[0])[1]
    assert told == "Count: 1 2& 3 in each beat; you on 1 and the & of 2, Violin I on every number"


def test_a_bar_in_which_nothing_pulls_is_counted_in_its_beats() -> None:
    open_score = opened_for_practice(score(V="3+4/8 q. h", C="3+4/8 q. h"))
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])
    assert told[:2] == ["Bar 1: nothing pulls here", "Count: 1 2; the beats fall into 3 4"]


def test_where_barlines_travel_apart_no_bar_is_compared() -> None:
    written = score(V="3/4 q q q | q q q", C="2/4 q q | q q | q q", free=frozenset({"C"}))
    open_score = opened_for_practice(written)
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])
    assert told[0] == "Bar 1: each part has barlines of its own, so no bar is compared"

"""A bar in sentences: its conflict and how to count it."""

from companion.wording.counting_sentences import bar_in_words
from tests.score.written import score
from tests.session.small_scores import opened_for_practice, three_against_two, whole


def test_a_bar_is_told_with_who_pulls_how_to_count_and_the_meters() -> None:
    open_score = three_against_two()
    assert bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0]) == [
        "Bar 1: 3 against 2 in the beat, as written: Violin I in 3 · Violin II in 2",
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
    assert told[:2] == ["Bar 1: no conflict here", "Count: 1 2; the beats divide into 3 4"]


def test_where_barlines_travel_apart_no_bar_is_compared() -> None:
    written = score(V="3/4 q q q | q q q", C="2/4 q q | q q | q q", free=frozenset({"C"}))
    open_score = opened_for_practice(written)
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])
    assert told[0] == "Bar 1: the parts have different barlines, so bars are not compared"

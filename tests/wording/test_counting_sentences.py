"""A bar in sentences: its conflict and how to count it."""

from companion.wording.counting_sentences import bar_in_words
from tests.score.written import score
from tests.session.small_scores import opened_for_practice, three_against_two, whole


def test_a_bar_is_told_with_who_pulls_how_to_count_and_the_meters() -> None:
    open_score = three_against_two()
    assert bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0]) == [
        "Bar 1: 3 against 2 in the beat, as written: Violin I in 3 · Violin II in 2",
        "Count: 1 2& 3 in each beat; "
        "3 (you) divides at every number, 2 (Violin II) at 1 and the & of 2",
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
    assert told == (
        "Count: 1 2& 3 in each beat; "
        "2 (you) divides at 1 and the & of 2, 3 (Violin I) at every number"
    )


def test_the_count_says_where_divisions_are_and_not_who_strikes_there() -> None:
    """A side that rests on most numbers is in its division all the same."""
    open_score = opened_for_practice(score(V="6/8 re e re re e e", C="2/4 e e e e"))
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])[1]
    assert "you on" not in told
    assert told.endswith("; 3 (you) divides at every number, 2 (C) at 1 and the & of 2")


def test_the_count_names_the_part_compared_if_it_pulls_too() -> None:
    open_score = opened_for_practice(
        score(V="2/4 e e e e", W="2/4 e e e e", A="6/8 e e e e e e", C="6/8 e e e e e e")
    )
    counts = [
        bar_in_words(open_score, whole(open_score, 2), facing, open_score.clock.bars[0])[1]
        for facing in (0, 1, 3)
    ]
    # The last is on my own side: the other side keeps the name that the conflict says first.
    assert [count.split(", 2 (")[1][0] for count in counts] == ["V", "W", "V"]


def test_a_bar_in_which_nothing_pulls_is_counted_in_its_beats() -> None:
    open_score = opened_for_practice(score(V="3+4/8 q. h", C="3+4/8 q. h"))
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])
    assert told[:2] == ["Bar 1: no conflict here", "Count: 1 2; the beats divide into 3 4"]


def test_where_barlines_travel_apart_no_bar_is_compared() -> None:
    written = score(V="3/4 q q q | q q q", C="2/4 q q | q q | q q", free=frozenset({"C"}))
    open_score = opened_for_practice(written)
    told = bar_in_words(open_score, whole(open_score), 1, open_score.clock.bars[0])
    assert told[0] == "Bar 1: the parts have different barlines, so bars are not compared"

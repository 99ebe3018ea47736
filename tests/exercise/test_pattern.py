"""The short notation, read as a musician reads it.

Note values, dots and tuplets: common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.exercise.pattern.notation import NotationEvent, read_pattern_note, tuplet_groups
from companion.exercise.pattern.pattern import LineBar, PatternError, barlines_travel, read_pattern


def lengths(word: str) -> list[Fraction]:
    read = read_pattern_note(word)
    assert not isinstance(read, str), read
    return [event.length for event in read]


def bar(text: str) -> LineBar:
    return read_pattern(text)[0].bars[0]


@pytest.mark.parametrize(
    ("word", "quarters"),
    [
        *(("w", "4"), ("h", "2"), ("q", "1"), ("e", "1/2"), ("s", "1/4"), ("t", "1/8")),
        *(("q.", "3/2"), ("h..", "7/2"), ("e3", "1/3"), ("e2", "3/4"), ("s4", "3/16")),
        *(("s5", "1/5"), ("s6", "1/6"), ("s7", "1/7"), ("t9", "1/9"), ("q5:3", "3/5")),
        *(("rq.", "3/2"), ("F#4e3", "1/3"), ("Bb3q.", "3/2"), ("C##5w~", "4"), ("D4q>'", "1")),
    ],
)
def test_a_note_lasts_as_long_as_it_is_written(word: str, quarters: str) -> None:
    assert lengths(word) == [Fraction(quarters)]


def test_six_eighths_may_be_written_at_once() -> None:
    assert lengths("e*6") == [Fraction(1, 2)] * 6


@given(count=st.integers(2, 16), letter=st.sampled_from("whqe"))
@settings(deadline=None)
def test_a_tuplet_of_so_many_fills_whole_note_values(count: int, letter: str) -> None:
    (one, *_) = lengths(f"{letter}{count}")
    (plain, *_) = lengths(letter)
    assert (count * one / plain).denominator == 1


def test_a_bar_is_added_up_and_its_notes_keep_their_pitches() -> None:
    made = bar("6/8 D4q. rq A4e")
    assert [event.pitch for event in made.events] == ["D4", "", "A4"]
    assert made.length == 3 and made.meter.text == "6/8"


def test_a_line_without_meters_has_those_of_the_first() -> None:
    upper, lower = read_pattern("6/8 q. q. | 2/4 q.=q q q\ne*6 | q q")
    assert [one.meter.text for one in lower.bars] == ["6/8", "2/4"]
    assert upper.bars[1].tempos[0].equals == "q"


def test_a_line_may_say_its_own_meter_under_the_same_barlines() -> None:
    lines = read_pattern("6/8 q. q.\n2/4 q q")
    assert [line.bars[0].meter.text for line in lines] == ["6/8", "2/4"]
    assert not barlines_travel(lines)


def test_lines_of_unlike_numbers_of_bars_travel_if_they_last_alike() -> None:
    assert barlines_travel(read_pattern("3/4 h. | h.\n2/4 h | h | h"))
    with pytest.raises(PatternError, match="do not last equally long"):
        read_pattern("3/4 h. | h.\n2/4 h | h | h | h")


def test_a_sign_plays_the_bar_before_again_and_a_dash_is_silence() -> None:
    first, again, silent = read_pattern("2/4 D4e E4e F4q | % | -")[0].bars
    assert again.events == first.events and not silent.events and silent.length == 2


def test_barlines_at_the_ends_of_a_line_mean_nothing() -> None:
    assert read_pattern("| 2/4 q q | h ||") == read_pattern("2/4 q q | h")


def test_a_name_stands_before_a_colon_and_is_no_tuplet() -> None:
    lines = read_pattern("Violin I: 3/4 q5:3*5\n3/4 q q q")
    assert [line.name for line in lines] == ["Violin I", "Line 2"]


def test_a_pickup_is_short_and_every_line_must_have_it() -> None:
    assert bar("6/8 up A4e | h.").length == Fraction(1, 2)
    with pytest.raises(PatternError, match="pickup"):
        read_pattern("6/8 up e | h.\n6/8 q. q. | h.")


def test_every_fault_is_told_not_only_the_first() -> None:
    with pytest.raises(PatternError) as caught:
        read_pattern("6/8 q. q | k | e e\n2/4 h | h | q")
    assert [fault.offset for fault in caught.value.faults] == [0, 11, 15, 31]


@pytest.mark.parametrize(
    ("bar_text", "groups"),
    [
        ("2/4 e3 e3 e3 q", [(0, 2)]),
        ("2/4 q3 e3 q", [(0, 1)]),
        ("2/4 e3 q3 q", [(0, 1)]),
        ("2/4 e3 e3 e3 e3 e3 e3", [(0, 2), (3, 5)]),
        ("2/2 q3 q3 q3 h", [(0, 2)]),
        ("6/8 e2 e2 q.", [(0, 1)]),
        ("2/4 s5*5 q", [(0, 4)]),
        ("2/4 e3 re3 e3 q", [(0, 2)]),
        ("2/4 s3 s3 s3 e q", [(0, 2)]),
    ],
)
def test_a_bracket_ends_where_its_notes_fill_a_unit(
    bar_text: str, groups: list[tuple[int, int]]
) -> None:
    found = tuplet_groups(bar(bar_text).events)
    assert [(group.first, group.last) for group in found] == groups
    assert all(group.is_complete for group in found)


def test_a_triplet_that_is_not_filled_is_told() -> None:
    quarter = NotationEvent("q", 0, "x")
    third = NotationEvent("e", 0, "x", (3, 2))
    assert not tuplet_groups([third, third, quarter, third])[0].is_complete
    with pytest.raises(PatternError, match="not filled"):
        read_pattern("2/4 e3 e3 q e3")


def test_notes_too_many_or_too_fine_are_refused() -> None:
    with pytest.raises(PatternError, match="at most"):
        read_pattern("\n".join(["64/4 q*64" + " | %" * 30] * 4))
    fine = "1/8 t5*5 | 1/8 t7*7 | 1/4 t9*9 | 1/4 t11*11 | 1/4 t13*13 | 15/32 t16:15*16"
    with pytest.raises(PatternError, match="too finely"):
        read_pattern(fine)


@given(st.text(alphabet="whqestr()nvpf|.:*~>'%-+/=0123456789ABDG#b \n", max_size=120))
@settings(deadline=None)
def test_whatever_is_typed_is_a_pattern_or_a_told_fault(text: str) -> None:
    try:
        lines = read_pattern(text)
    except PatternError as error:
        assert error.faults and all(0 <= fault.offset <= len(text) for fault in error.faults)
    else:
        assert all(line.bars for line in lines)

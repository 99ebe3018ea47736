"""Into what a span is cut, and which meters pull. The groups of a meter: common practice, no
source; the rest is arithmetic."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.division import (
    division_of,
    felt_division,
    fit,
    groups_pull,
    is_evenly_struck,
    meters_pull,
)
from companion.rhythm.meter import parse

SPAN = 840
COUNTS = st.integers(1, 16)


@given(st.sets(st.integers(0, SPAN - 1), max_size=6))
def test_a_division_is_the_smallest_on_which_every_note_lies(offsets: set[int]) -> None:
    def holds_all(count: int) -> bool:
        return all(offset * count % SPAN == 0 for offset in offsets)

    smallest = next(count for count in range(1, SPAN + 1) if holds_all(count))
    assert division_of(offsets, SPAN) == smallest


@given(st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8]), st.data())
def test_equal_notes_are_counted_and_one_left_out_makes_them_unequal(
    count: int, data: st.DataObject
) -> None:
    notes = [SPAN * number // count for number in range(count)]
    assert is_evenly_struck(notes, SPAN) and felt_division(notes, SPAN) == count
    left = set(notes) - {data.draw(st.sampled_from(notes))}
    assert not is_evenly_struck(left, SPAN) or division_of(left, SPAN) < count


def test_equal_notes_begin_with_the_span() -> None:
    assert not is_evenly_struck([SPAN // 2], SPAN)
    assert not is_evenly_struck([], SPAN)


@pytest.mark.parametrize(("outer", "inner"), [(2, 5), (5, 2), (2, 7), (7, 2), (3, 5), (5, 3)])
@pytest.mark.parametrize("member", [0, 1])
def test_of_a_tuplet_inside_another_the_outer_one_is_felt(
    outer: int, inner: int, member: int
) -> None:
    notes = {SPAN * number // outer for number in range(outer)}
    notes |= {SPAN * (member * inner + number) // (outer * inner) for number in range(inner)}
    assert division_of(notes, SPAN) == outer * inner
    assert felt_division(notes, SPAN) == outer


def test_a_tuplet_whose_outer_notes_are_not_all_struck_is_felt_as_it_lies() -> None:
    only_the_inner_ones = {SPAN * number // 15 for number in range(5)}
    assert felt_division(only_the_inner_ones, SPAN) == 15


@given(COUNTS, COUNTS)
def test_two_divisions_fit_if_the_strokes_of_one_are_among_the_others(a: int, b: int) -> None:
    of_a, of_b = ({number * 720720 // count for number in range(count)} for count in (a, b))
    assert fit(a, b) == (of_a <= of_b or of_b <= of_a)


@pytest.mark.parametrize(
    ("a", "b", "groups"),
    [
        ("3+2+3/8", "4/4", ((3, 2, 3), (2, 2, 2, 2))),
        ("3+3+2/8", "2/2", ((3, 3, 2), (4, 4))),
        ("3+2/8", "2+3/8", ((3, 2), (2, 3))),
        ("2/4", "3+4/8", ((7, 7), (6, 8))),
        ("3+2/8", "5/8", None),  # every beat begins on one of the five
        ("5/8", "3+2/8", None),
        ("3+2/8", "3+2/8", None),
        ("3/4", "6/8", None),  # equal beats on both sides: a ratio, no groups
    ],
)
def test_unequal_beats_pull_if_neither_sides_are_among_the_others(
    a: str, b: str, groups: tuple[tuple[int, ...], tuple[int, ...]] | None
) -> None:
    assert groups_pull(parse(a), parse(b)) == groups


@pytest.mark.parametrize(
    ("a", "b", "pull"),
    [
        ("6/8", "3/4", ("bar", 2, 3)),
        ("3/4", "2/4", ("bar", 3, 2)),
        ("6/8", "2/4", ("beat", 3, 2)),
        ("9/8", "3/4", ("beat", 3, 2)),
        ("3+2/8", "2/4", ("bar", 5, 2)),
        ("4/4", "2/2", None),
        ("2/4", "12/8", None),
        ("3/4", "3/8", None),
        ("1/4", "1/8", None),
        ("3+2/8", "2+3/8", None),  # five pulses on both sides: told as groups
    ],
)
def test_two_meters_pull_at_the_coarsest_level_that_tells_them_apart(
    a: str, b: str, pull: tuple[str, int, int] | None
) -> None:
    assert meters_pull(parse(a), parse(b)) == pull

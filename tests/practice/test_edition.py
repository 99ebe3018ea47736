"""Passages go where their music went, and nowhere else."""

import difflib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.practice.edition import Carried, carried, matched

BARS = st.lists(st.sampled_from("abcd"), max_size=12)


def places(old: str, new: str) -> tuple[int, ...]:
    return matched(list(old), list(new))


def test_the_same_music_stays_where_it_was() -> None:
    assert places("abcdef", "abcdef") == (1, 2, 3, 4, 5, 6)


def test_bars_put_in_front_move_everything_on() -> None:
    assert places("abcdef", "xyabcdef") == (3, 4, 5, 6, 7, 8)


def test_a_mended_bar_is_the_only_one_not_found() -> None:
    assert places("abcdef", "abXdef") == (1, 2, 0, 4, 5, 6)


def longest_by_table(old: str, new: str) -> int:
    """The textbook recurrence of a longest common subsequence (dynamic programming)."""
    rows = [[0] * (len(new) + 1) for _ in range(len(old) + 1)]
    for i, one in enumerate(old):
        for j, other in enumerate(new):
            longer = max(rows[i][j + 1], rows[i + 1][j])
            rows[i + 1][j + 1] = rows[i][j] + 1 if one == other else longer
    return rows[-1][-1]


@given(BARS, BARS)
def test_as_many_bars_are_found_as_can_be_and_in_order(old: list[str], new: list[str]) -> None:
    found = matched(old, new)
    pairs = [(index, place - 1) for index, place in enumerate(found) if place]
    assert len(pairs) == longest_by_table("".join(old), "".join(new))
    assert all(old[one] == new[other] for one, other in pairs)
    assert [other for _, other in pairs] == sorted({other for _, other in pairs})
    # The standard library's own matcher never finds more (difflib).
    blocks = difflib.SequenceMatcher(None, old, new, autojunk=False).get_matching_blocks()
    assert sum(block.size for block in blocks) <= len(pairs)


@pytest.mark.parametrize(
    ("old", "new", "went"),
    [
        ("abcdefgh", "xxabcdefgh", Carried(5, 8, ())),  # bars inserted before
        ("abcdefgh", "abcdXfgh", Carried(3, 6, (5,))),  # a note mended inside
        ("abcdefgh", "abXdefgh", Carried(3, 6, (3,))),  # and in the first bar
        ("abcdefgh", "abcdeXgh", Carried(3, 6, (6,))),  # and in the last
        ("abcdefgh", "abcdxxefgh", Carried(3, 8, ())),  # it grew
        ("abcdefgh", "abXXXfgh", None),  # more than half is other music
        ("abcdefgh", "uvwxyz", None),
        ("abcdefgh", "cdef", Carried(1, 4, ())),
    ],
)
def test_bars_three_to_six_of_an_eight_bar_piece(old: str, new: str, went: Carried | None) -> None:
    assert carried(3, 6, places(old, new)) == went


def test_bars_the_earlier_edition_does_not_have_go_nowhere() -> None:
    assert carried(7, 12, places("abcdefgh", "abcdefgh")) is None


@given(BARS, BARS, st.integers(1, 12), st.integers(0, 4))
def test_a_passage_never_ends_before_it_begins(
    old: list[str], new: list[str], first: int, more: int
) -> None:
    went = carried(first, first + more, matched(old, new))
    assert went is None or 1 <= went.first <= went.last

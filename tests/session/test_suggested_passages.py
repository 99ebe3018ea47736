"""Which passages are offered: a stretch one can keep, and never what nobody would practise."""

from __future__ import annotations

from companion.session.suggested_passages import suggested_passages
from tests.score.written import score_of
from tests.session.small_scores import opened_for_practice

PLAIN = "2/4 " + " | ".join(["q q"] * 10)


def spans(labels: list[str] | None = None, **parts: str) -> list[tuple[int, int]]:
    open_score = opened_for_practice(score_of(parts, labels=labels))
    return [(one.first, one.last) for one in suggested_passages(open_score, 0)]


def test_a_long_stretch_is_cut_as_evenly_as_it_goes() -> None:
    assert spans(V=PLAIN) == [(1, 4), (5, 7), (8, 10)]


def test_no_passage_goes_on_into_the_next_movement() -> None:
    numbers = [str(number) for number in (*range(1, 6), *range(1, 6))]
    assert spans(numbers, V=PLAIN) == [(1, 3), (4, 5), (6, 8), (9, 10)]


def test_a_conflict_is_a_passage_with_its_neighbours_if_it_is_one_bar() -> None:
    upper, lower = "2/4 q q | q q | e3 e3 e3 q | q q | q q", "2/4 h | h | e e q | h | h"
    assert spans(V=upper, C=lower) == [(1, 2), (2, 4), (4, 5)]


def test_an_upbeat_goes_with_its_bar_and_rests_are_left_out_at_the_ends() -> None:
    assert spans(V="3/4 q | q q q | h. | - | -", C="3/4 q | h. | h. | h. | h.") == [(1, 3)]

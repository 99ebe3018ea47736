"""Large plans as letters. Forms of corpus movements: general knowledge, from memory."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.findings.form import large_plan, returns
from tests.findings.real_scores import corpus, demo
from tests.findings.test_form import Bar, new, piece


def letters(bars: list[Bar]) -> list[str]:
    texture = piece(bars)
    sections = large_plan(returns(texture), 1, len(bars))
    return [f"{section} {section.first}-{section.last}" for section in sections]


A = [new(number) for number in range(8)]
B = [new(number) for number in range(20, 30)]
C = [new(number) for number in range(40, 49)]
VARIED = [(v, (45, 47, 49, 50)) if n in (2, 5) else (v, c) for n, (v, c) in enumerate(A)]


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        (A + B + A, ["A 1-8", "B 9-18", "A 19-26"]),
        (A + B + A + C + A, ["A 1-8", "B 9-18", "A 19-26", "C 27-35", "A 36-43"]),
        (A + A + B + B + A, ["A 1-16", "B 17-36", "A 37-44"]),
        (A + B + A[:6] + C[:5], ["A 1-6", "B 7-18", "A′ 19-29"]),
        ([*C[:1], *A, *B, *A], ["A 1-9", "B 10-19", "A 20-27"]),
        (C + A + B + A, ["A 1-9", "B 10-17", "C 18-27", "B 28-35"]),
        (A + B[:4] + A, ["A 1-8", "B 9-12", "A 13-20"]),
        (A + B[:3] + A, ["A 1-11", "A 12-19"]),
        (A[:4] + B + A[:4], ["A 1-4", "B 5-14", "A 15-18"]),
        (A + VARIED + B, ["A 1-8", "A′ 9-16", "B 17-26"]),
        (A + B + C, []),
    ],
    ids=[
        *("ternary", "rondo", "repeats", "own close", "upbeat", "introduction"),
        *("four bars between", "three bars between", "four bars return"),
        *("varied at once", "nothing returns"),
    ],
)
def test_plans_of_sections_put_together(bars: list[Bar], expected: list[str]) -> None:
    assert letters(bars) == expected


def test_each_movement_has_a_plan_of_its_own_returns_alone() -> None:
    """The first movement's last section goes on, as its first did, into the second movement."""
    bars = A + B + A + B + C + B
    found = returns(piece(bars))

    def plan(first: int, last: int) -> list[str]:
        return [f"{one} {one.first}-{one.last}" for one in large_plan(found, first, last)]

    assert plan(1, 26) == ["A 1-8", "B 9-18", "A 19-26"]
    assert plan(27, 45) == []


def test_a_change_after_the_movement_is_over_is_none_of_its_own() -> None:
    bars = A[:7] + B + A[:7] + C[:1] + B[1:6] + C[1:]
    (section, *_, last) = large_plan(returns(piece(bars)), 1, 24)
    assert (str(section), str(last), last.first, last.departs) == ("A", "A", 18, None)


PASSAGES = st.sampled_from([A, B, C, A[:5], B[2:8], A[3:] + B[:4], C[5:] + A[:4]])


@settings(deadline=None)
@given(st.lists(PASSAGES, min_size=3, max_size=6))
def test_plans_fill_the_movement_and_take_their_letters_in_order(passages: list[list[Bar]]) -> None:
    bars = [bar for passage in passages for bar in passage]
    sections = large_plan(returns(piece(bars)), 1, len(bars))
    assert [one.first for one in sections] == [1, *(one.last + 1 for one in sections)][:-1]
    assert not sections or sections[-1].last == len(bars)
    letters = list(dict.fromkeys(one.letter for one in sections))
    assert letters == list("ABCDEFGH"[: len(letters)])


def test_sections_fill_the_movement_without_gap() -> None:
    for path in ("mozart/k155/movement3.mxl", "beethoven/opus18no1/movement4.mxl"):
        texture = corpus(path).texture
        sections = large_plan(returns(texture), 1, len(texture.bars))
        assert sections[0].first == 1 and sections[-1].last == len(texture.bars)
        assert all(a.last + 1 == b.first for a, b in zip(sections, sections[1:], strict=False))


def test_the_built_in_quartet_is_a_b_a_and_its_return_departs_at_56() -> None:
    sections = large_plan(returns(demo().texture), 1, 61)
    assert [(str(s), s.first, s.last) for s in sections] == [
        ("A", 1, 9),
        ("B", 10, 47),
        ("A′", 48, 61),
    ]
    assert [s.departs for s in sections] == [None, None, 56]


@pytest.mark.parametrize(
    ("path", "recapitulation"),
    [
        ("mozart/k458/movement1.mxl", 140),
        ("mozart/k458/movement4.mxl", 199),
        ("mozart/k156/movement1.mxl", 110),
        ("beethoven/opus18no1/movement1.mxl", 179),
        ("haydn/opus74no1/movement1.mxl", 97),
    ],
)
def test_first_movement_form_reads_a_b_a(path: str, recapitulation: int) -> None:
    """Exposition, development, recapitulation: movements in sonata form (general knowledge, from
    memory; the bar of the recapitulation by ordinal, where the opening's notes stand again)."""
    real = corpus(path)
    sections = large_plan(returns(real.texture), 1, len(real.texture.bars))
    assert [str(section) for section in sections] == ["A", "B", "A′"]
    assert sections[2].first == recapitulation


def test_a_minuet_with_trio_and_da_capo_reads_a_b_a() -> None:
    """Minuet, trio, minuet. The page has no sign where the minuet ends, so that its playing
    order runs into the trio once more; here it stops at the minuet's second ending."""
    texture = corpus("haydn/opus1no1/movement4.mxl", as_played=True).texture
    sections = large_plan(returns(texture), 1, 116)
    assert [(str(s), s.first, s.last) for s in sections] == [
        ("A", 1, 56),
        ("B", 57, 88),
        ("A", 89, 116),
    ]

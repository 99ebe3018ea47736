"""Barlines of one's own. Where bars of m and n meet is arithmetic: after their least common
multiple; held against the plain intersection of all barlines."""

from math import lcm

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.findings.polymeter import polymeters
from companion.score.laying import lay
from companion.score.texture import Texture, texture_of
from tests.score.written import score, score_of


def bars(meter: str, count: int) -> str:
    """Bars that hold one long note each."""
    top, bottom = meter.split("/")
    note = {"4": "q", "8": "e"}[bottom]
    bar = " ".join([note] * int(top))
    return f"{meter} " + " | ".join([bar] * count)


def laid(**parts: str) -> Texture:
    """The first part has the bars one counts; the others' barlines are free."""
    return texture_of(lay(score_of(parts, free=frozenset(list(parts)[1:]))))


def test_three_four_beside_two_four_meets_after_two_bars_and_three() -> None:
    (found,) = polymeters(laid(V=bars("3/4", 4), C=bars("2/4", 6)))
    assert (found.first, found.last) == (1, 4)
    assert (found.sides, found.ratio) == ((("P1",), ("P2",)), (3, 2))
    assert found.meets_after == (2, 3)


def test_parts_with_the_same_barlines_stand_on_one_side() -> None:
    (found,) = polymeters(laid(V=bars("3/4", 4), W=bars("2/4", 6), C=bars("2/4", 6)))
    assert found.sides == (("P1",), ("P2", "P3"))


def test_bars_that_fill_each_other_pull_nowhere() -> None:
    assert polymeters(laid(V=bars("4/4", 2), C=bars("2/4", 4))) == ()


def test_equal_bars_that_are_shifted_never_meet() -> None:
    (found,) = polymeters(laid(V=bars("3/4", 4), C="1/4 q | " + bars("3/4", 3) + " | 2/4 q q"))
    assert (found.ratio, found.meets_after) == ((1, 1), (0, 0))


def test_a_change_of_bar_length_begins_another_stretch() -> None:
    found = polymeters(laid(V=bars("3/4", 8), C=bars("2/4", 6) + " | " + bars("4/4", 3)))
    assert [(p.first, p.last, p.ratio) for p in found] == [(1, 4, (3, 2)), (5, 8, (4, 3))]
    assert found[1].sides == (("P2",), ("P1",))
    assert [p.meets_after for p in found] == [(2, 3), (3, 4)]


def test_parts_whose_barlines_stand_together_have_no_polymeter() -> None:
    assert polymeters(texture_of(lay(score(V="6/8 q. q. | q. q.", C="2/4 q q | q q")))) == ()


@pytest.mark.parametrize("parts", [1, 2, 4])
def test_one_meter_for_all_has_no_polymeter(parts: int) -> None:
    lines = {f"part {n}": bars("3/4", 5) for n in range(parts)}
    assert polymeters(texture_of(lay(score_of(lines)))) == ()


@given(st.integers(2, 9), st.integers(2, 9))
def test_barlines_meet_exactly_where_both_sides_have_one(m: int, n: int) -> None:
    whole = 2 * lcm(m, n)
    texture = laid(V=bars(f"{m}/8", whole // m), C=bars(f"{n}/8", whole // n))
    found = polymeters(texture)
    if m % n == 0 or n % m == 0:
        assert found == ()
        return
    (one,) = found
    both = [
        {bar.start for bar in stream.own_bars} | {stream.own_bars[-1].end}
        for stream in texture.streams
    ]
    second = sorted(both[0] & both[1])[1]
    before = [sum(bar.start < second for bar in stream.own_bars) for stream in texture.streams]
    assert sorted(one.meets_after) == sorted(before)

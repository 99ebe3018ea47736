"""From music to seconds and back, for any tempo plan and any time through."""

from fractions import Fraction
from itertools import accumulate

from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.timetable import COUNTING, Pace, Timetable, paced, sloping, steady

paces = st.fractions(Fraction(1, 20), 4, max_denominator=50)
lengths = st.fractions(Fraction(1, 4), 40, max_denominator=12)


@st.composite
def any_pace(draw: st.DrawFn) -> Pace:
    length = draw(lengths)
    if draw(st.booleans()):
        return steady(draw(paces), length)
    if draw(st.booleans()):
        return sloping(draw(paces), draw(paces), length)
    turn = length * draw(st.fractions(Fraction(1, 10), Fraction(9, 10), max_denominator=10))
    change = (draw(paces) - (second := draw(paces))) / (length - turn)
    return paced([(Fraction(0), draw(paces), Fraction(0)), (turn, second, change)], length)


@st.composite
def any_table(draw: st.DrawFn) -> Timetable:
    counted = steady(draw(paces), draw(st.just(Fraction(0)) | lengths))
    opening = tuple(draw(st.lists(any_pace(), max_size=4)))
    return Timetable(counted, opening, tuple(draw(st.lists(any_pace(), min_size=1, max_size=3))))


shares = st.fractions(0, 1, max_denominator=97)


@settings(deadline=None)
@given(any_pace(), shares)
def test_seconds_lead_back_to_the_place_they_came_from(pace: Pace, share: Fraction) -> None:
    into = pace.length * share
    back = pace.into_at(pace.seconds_at(into))
    assert abs(back - into) < Fraction(1, 10**18)
    if all(not stretch.change for stretch in pace.stretches):
        assert back == into


@settings(deadline=None)
@given(any_pace(), shares, shares)
def test_time_never_runs_backwards(pace: Pace, one: Fraction, other: Fraction) -> None:
    early, late = sorted((pace.length * one, pace.length * other))
    assert pace.seconds_at(early) <= pace.seconds_at(late) <= pace.seconds
    assert pace.seconds_at(pace.length) == pace.seconds


def test_half_way_through_a_ramp_in_length_is_not_half_its_time() -> None:
    # From 1 s to 1/2 s a beat over four beats: the first two last 2 × (1 + 3/4) / 2.
    ramp = sloping(Fraction(1), Fraction(1, 2), Fraction(4))
    assert ramp.seconds == 3
    assert ramp.seconds_at(Fraction(2)) == Fraction(7, 4)


@settings(deadline=None)
@given(any_table())
def test_times_through_follow_each_other_without_a_gap(table: Timetable) -> None:
    walked = list(accumulate(table.pace(number).seconds for number in range(COUNTING, 20)))
    assert [table.begin(number) for number in range(21)] == walked
    assert table.begin(COUNTING) == 0


@settings(deadline=None)
@given(any_table(), st.integers(COUNTING, 1000), shares)
def test_the_time_through_is_found_from_any_second(
    table: Timetable, number: int, share: Fraction
) -> None:
    if share == 1 or not table.pace(number).seconds:
        return
    seconds = table.begin(number) + table.pace(number).seconds * share
    assert table.number_at(seconds) == number
    assert table.begin(number) <= seconds < table.begin(number + 1)

"""Counting in. Full bars, then the beats missing before an upbeat: common practice, no source."""

from fractions import Fraction

from companion.click.plan.layers import Layer
from tests.click.asking import click, take, times, wished
from tests.score.written import score


def test_two_bars_are_counted_in_the_meter_of_my_first_bar() -> None:
    both = score(V="6/8 q. q. | q. q.", C="3/4 q q q | q q q")
    assert times(click(take(both, part=0), count_in=2))[:5] == ["0>", "1", "2>", "3", "4>"]
    cello = click(take(both, part=1), count_in=1, layers=[Layer.BEAT])
    assert times(cello)[:4] == ["0>", "2/3", "4/3", "2>"]
    assert cello.count_in_length == 2


def test_without_a_count_in_the_first_stroke_is_at_once() -> None:
    planned = click(score(V="2/4 q q"))
    assert planned.count_in_length == 0
    assert planned.strokes[0].at == 0


def test_before_an_upbeat_the_missing_beats_are_counted_too() -> None:
    # One bar of four, then one two three, and the upbeat enters on four.
    planned = click(score(V="4/4 q | q q q q"), count_in=1)
    assert planned.count_in_length == 7
    assert times(planned) == ["0>", "1", "2", "3", "4>", "5", "6", "7", "8>", "9", "10", "11"]
    assert [stroke.bar for stroke in planned.strokes] == [0] * 7 + [1] + [2] * 4


def test_an_upbeat_of_an_eighth_enters_after_the_fourth_beat() -> None:
    planned = click(score(V="4/4 e | q q q q"), count_in=1)
    assert planned.count_in_length == Fraction(15, 2)
    assert times(planned)[:9] == ["0>", "1", "2", "3", "4>", "5", "6", "7", "8>"]


def test_an_upbeat_without_count_in_has_nothing_before_it() -> None:
    assert click(score(V="4/4 q | q q q q")).count_in_length == 0


def test_an_additive_meter_is_counted_in_with_its_own_groups() -> None:
    planned = click(score(V="3+4/8 q. h"), count_in=1)
    assert times(planned) == ["0>", "1", "7/3>", "10/3"]


def test_an_unmeasured_passage_is_counted_in_by_four_quarters() -> None:
    planned = click(score(V="free q q q q q q"), count_in=1)
    assert times(planned)[:6] == ["0>", "1", "2", "3", "4>", "5"]


def test_only_the_first_time_is_counted_in() -> None:
    planned = click(score(V="2/4 q q"), count_in=1, repeat=3)
    assert planned.length == 2 + 3 * 2
    assert [stroke.bar for stroke in planned.strokes] == [0, 0] + [1] * 6


def test_a_click_of_the_conflict_alone_still_counts_in_beats() -> None:
    pulling = score(V="6/8 *", C="2/4 *")
    planned = click(pulling, count_in=1, layers=[Layer.RESULTANT])
    assert times(planned) == ["0>", "1"]
    assert times(planned, Layer.RESULTANT)[0] == "2>"


def test_pulses_are_counted_in_where_they_are_wanted() -> None:
    planned = click(score(V="6/8 q. q."), count_in=1, layers=[Layer.DIVISION])
    assert times(planned) == ["0>", "1"]
    assert len(times(planned, Layer.DIVISION)) == 12


def test_the_pulses_counted_in_end_where_an_upbeat_begins() -> None:
    upbeat = score(V="4/4 e | q q q q")
    planned = click(upbeat, count_in=1, layers=[Layer.DIVISION])
    pulses = [stroke.at for stroke in planned.strokes if stroke.layer is Layer.DIVISION]
    assert pulses == [Fraction(pulse, 2) for pulse in range(24)]


def test_where_my_bar_has_already_begun_the_count_in_reaches_into_it() -> None:
    # Bar 2 of the upper part begins on the second beat of my second bar.
    apart = score(V="3/4 q q q | q q q", C="2/4 q q | q q | q q", free=frozenset("C"))
    planned = click(take(apart, part=1, first=2, last=2), count_in=1)
    assert planned.count_in_length == 3
    assert times(planned) == ["0>", "1", "2>", "3", "4>", "5"]


def test_the_other_side_can_be_counted_in_instead() -> None:
    both = score(V="6/8 q. q. | q. q.", C="3/4 q q q | q q q")
    planned = wished(take(both, part=0), count_in=1, counted_by=1, layers=(Layer.BEAT,))
    assert times(planned)[:4] == ["0>", "2/3", "4/3", "2>"]
    assert planned.count_in_length == 2


def test_counted_in_by_others_i_still_enter_on_my_upbeat() -> None:
    # My upbeat of a dotted quarter is their upbeat of a quarter: one bar of three and two beats.
    upbeat = score(V="9/8 q. | q. q. q.", C="3/4 q | q q q")
    planned = wished(take(upbeat), count_in=1, counted_by=1, layers=(Layer.BEAT,))
    assert times(planned) == ["0>", "1", "2", "3>", "4", "5", "6>", "7", "8"]
    assert [stroke.bar for stroke in planned.strokes] == [0] * 5 + [1] + [2] * 3

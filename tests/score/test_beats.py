"""Beats of a part counted along its own bars. What a beat is: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from companion.rhythm.meter import parse
from companion.score.texture import BarSpan, PartStream, bars_between, beats_between, place_in_bar
from tests.findings.ensembles import mixed

METERS = st.lists(st.sampled_from(["2/4", "6/8", "3/4", "3+2/8", "2/2"]), min_size=1, max_size=5)


def stream(texts: list[str]) -> PartStream:
    meters = tuple(parse(text) for text in texts)
    spans: list[BarSpan] = []
    for meter in meters:
        start = spans[-1].end if spans else 0
        spans.append(BarSpan(len(spans) + 1, start, int(meter.length * 12), 0))
    return PartStream("P", (), meters, tuple(spans), meters)


def test_a_bar_of_six_eight_is_two_beats_where_two_four_beside_it_is_two_as_well() -> None:
    texture = mixed({"A": "6/8", "B": "2/4", "C": "3/4"}, {"A": [(0, 72, 60)], "B": [], "C": []})
    assert [beats_between(part, 0, 72) for part in texture.streams] == [4, 4, 6]


def test_unequal_beats_are_counted_one_by_one() -> None:
    mine = stream(["3+2/8"])
    assert beats_between(mine, 0, 18) == 1
    assert beats_between(mine, 18, 30) == 1
    assert beats_between(mine, 9, 24) == 1


@given(METERS, st.integers(0, 100), st.integers(1, 40))
def test_bars_between_two_places_are_those_that_lie_there_at_least_in_part(
    texts: list[str], first: int, span: int
) -> None:
    mine = stream(texts)
    first = min(first, mine.own_bars[-1].end - 1)
    lying = [bar for bar in mine.own_bars if bar.end > first and bar.start < first + span]
    assert [bar for bar, _ in bars_between(mine, first, first + span)] == lying


def test_a_pickup_begins_late_in_its_bar() -> None:
    upbeat = PartStream("P", (), (parse("3/4"),), (BarSpan(1, 0, 12, 24),), (parse("3/4"),))
    assert place_in_bar(upbeat, 0) == (1, Fraction(3))
    assert beats_between(upbeat, 0, 12) == 1


def test_no_beat_is_named_outside_the_bars_or_where_there_is_no_meter() -> None:
    free = PartStream("P", (), (None,), (BarSpan(1, 0, 48, 0),), (None,))
    assert place_in_bar(free, 0) is None
    assert beats_between(free, 0, 48) == 0
    assert place_in_bar(stream(["2/4"]), 24) is None


@given(METERS, st.integers(0, 100), st.integers(0, 100))
def test_beats_add_up_as_if_every_grain_were_counted(texts: list[str], a: int, b: int) -> None:
    mine = stream(texts)
    first, last = sorted((min(a, mine.own_bars[-1].end), min(b, mine.own_bars[-1].end)))
    lengths = [int(beat * 12) for meter in mine.meters if meter for beat in meter.beats]
    of_grain = [Fraction(1, length) for length in lengths for _ in range(length)]
    assert beats_between(mine, first, last) == sum(of_grain[first:last])

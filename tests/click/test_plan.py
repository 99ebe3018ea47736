"""Where the beats of a click fall. What a felt beat is: common practice, no source."""

from fractions import Fraction
from itertools import accumulate, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.click.plan.click_settings import LONGEST
from companion.click.plan.layers import Layer, rank
from companion.click.plan.plan import timed_strokes
from companion.errors import RequestError
from companion.rhythm.meter import parse
from companion.score.model import Note, Part, PartBar, Score
from tests.click.asking import ALL, click, frame, held, seconds, take, times
from tests.score.written import score


def test_six_eight_has_two_beats_and_the_first_is_stronger() -> None:
    planned = click(score(V="6/8 q. q. | q. q."), bpm=80)
    assert times(planned) == ["0>", "1", "2>", "3"]
    assert planned.seconds == 3


def test_the_tempo_counts_the_beats_of_my_own_part() -> None:
    both = score(V="6/8 q. q.", C="3/4 q q q")
    violin = click(take(both, part=0), bpm=60, layers=[Layer.BEAT])
    cello = click(take(both, part=1), bpm=60, layers=[Layer.BEAT])
    assert seconds(violin) == [0, 1]
    assert seconds(cello) == [0, 1, 2]
    assert violin.tempo.beat == Fraction(3, 2)
    assert cello.tempo.beat == 1


def test_the_tempo_of_a_later_passage_counts_from_its_own_first_bar() -> None:
    chosen = take(score(V="6/8 q. q. | 3/4 q q q | q q q"), first=2, last=3)
    assert seconds(click(chosen, bpm=90)) == [Fraction(2 * k, 3) for k in range(6)]
    assert click(chosen, bpm=90, repeat=3).seconds == 3 * 4


def test_beat_equals_beat_keeps_the_click_even_from_six_eight_into_two_four() -> None:
    planned = click(score(V="6/8 q. q. | 2/4 q q | 6/8 q. q."))
    assert times(planned) == ["0>", "1", "2>", "3", "4>", "5"]


def test_note_equals_note_makes_the_beats_of_three_four_shorter_than_those_of_six_eight() -> None:
    # An eighth stays an eighth: three dotted-quarter halves against two.
    planned = click(score(V="6/8 q. q. | 3/4 q q q | 6/8 q. q."))
    assert times(planned) == ["0>", "1", "2>", "8/3", "10/3", "4>", "5"]


def test_an_additive_meter_has_unequal_beats() -> None:
    planned = click(score(V="3+4/8 q. h | q. h"), bpm=100, layers=[Layer.BEAT, Layer.DIVISION])
    assert times(planned) == ["0>", "1", "7/3>", "10/3"]
    pulses = [Fraction(k, 3) for k in range(14)]
    assert [stroke.at for stroke in planned.strokes if stroke.layer is Layer.DIVISION] == pulses


def test_divisions_are_the_natural_pulses_of_the_meter() -> None:
    compound = click(score(V="6/8 q. q."), layers=[Layer.DIVISION])
    assert times(compound, Layer.DIVISION) == ["0>", "1/3", "2/3", "1", "4/3", "5/3"]
    simple = click(score(V="2/4 q q"), layers=[Layer.DIVISION])
    assert times(simple, Layer.DIVISION) == ["0>", "1/2", "1", "3/2"]


def test_an_upbeat_is_struck_on_its_own_beat_and_not_accented() -> None:
    planned = click(score(V="4/4 q | q q q q | q q q q"))
    assert times(planned) == ["0", "1>", "2", "3", "4", "5>", "6", "7", "8"]


def test_an_upbeat_of_an_eighth_has_no_beat_of_its_own() -> None:
    planned = click(score(V="4/4 e | q q q q"), layers=[Layer.BEAT, Layer.DIVISION])
    assert times(planned) == ["1/2>", "3/2", "5/2", "7/2"]
    assert times(planned, Layer.DIVISION)[:3] == ["0", "1/2>", "1"]


def test_an_upbeat_that_nothing_else_would_tell_is_struck() -> None:
    music = score(V="4/4 e | q q q q")
    assert times(click(music, layers=[Layer.BEAT])) == ["0", "1/2>", "3/2", "5/2", "7/2"]
    counted_in = click(music, layers=[Layer.BEAT], count_in=1)
    assert [stroke.at for stroke in counted_in.strokes if stroke.bar] == [
        Fraction(8 + number) for number in range(4)
    ]


def test_an_upbeat_in_an_additive_meter_takes_the_last_group() -> None:
    # 3+4/8: the upbeat of four eighths is the second beat.
    planned = click(score(V="3+4/8 h | q. h"))
    assert times(planned) == ["0", "4/3>", "7/3"]


def test_a_bar_split_in_two_is_accented_once() -> None:
    planned = click(score(V="4/4 q q q q | q q | q q | q q q q"))
    assert times(planned) == ["0>", "1", "2", "3", "4>", "5", "6", "7", "8>", "9", "10", "11"]


def test_a_bar_written_too_long_goes_on_counting() -> None:
    planned = click(score(V="2/4 q q | q q q | q q"))
    assert times(planned) == ["0>", "1", "2>", "3", "4", "5>", "6"]


def test_unmeasured_bars_are_counted_in_quarters() -> None:
    planned = click(score(V="free q q q. | q"), layers=[Layer.BEAT, Layer.DIVISION])
    assert times(planned) == ["0>", "1", "2", "3", "7/2>"]
    assert times(planned, Layer.DIVISION)[-3:] == ["3", "7/2>", "4"]


def test_a_part_that_is_over_is_counted_with_the_topmost_that_goes_on() -> None:
    trio = score(V="2/4 q q | q q | q q", A="6/8 q. q. | q. q. | q. q.", C="3/4 q q q")
    planned = click(take(trio, part=2), bpm=90)
    assert times(planned) == ["0>", "2/3", "4/3", "2>", "3", "4>", "5"]


def test_where_barlines_travel_apart_i_count_my_own_bars() -> None:
    # Two bars of 3/4 above three of 2/4, a quarter a quarter.
    apart = score(V="3/4 q q q | q q q", C="2/4 q q | q q | q q", free=frozenset("C"))
    cello = take(apart, part=1)
    assert not cello.clock.barlines_coincide
    assert times(click(cello)) == ["0>", "1", "2>", "3", "4>", "5"]
    second = click(take(apart, part=1, first=2, last=2))
    assert times(second) == ["0", "1>", "2"]
    assert [stroke.bar for stroke in second.strokes] == [2, 2, 2]


def test_every_repeat_is_the_same_passage_again() -> None:
    once = click(score(V="2/4 q q | 3/4 q q q"), layers=ALL)
    thrice = click(score(V="2/4 q q | 3/4 q q q"), layers=ALL, repeat=3)
    assert thrice.length == 15
    assert thrice.pass_length == 5
    expected = [
        (s.at + 5 * k, s.layer, s.is_accented, s.bar) for k in range(3) for s in once.strokes
    ]
    assert [(s.at, s.layer, s.is_accented, s.bar) for s in thrice.strokes] == expected


def test_a_click_of_a_minute_is_a_minute() -> None:
    planned = click(score(V=" | ".join(["4/4 w"] * 18)), bpm=72)
    assert planned.seconds == 60
    assert frame(planned, planned.length, 44100) == 60 * 44100


@pytest.mark.parametrize(
    ("click_settings", "told"),
    [
        ({"bpm": 9}, "outside 10–400"),
        ({"layers": ()}, "at least one layer"),
        ({"count_in": -1}, "count-in of -1"),
        ({"count_in": 17}, "Choose 0–16"),
        ({"repeat": 0}, "0 times"),
        ({"repeat": 10**9}, "Choose 1–999"),
    ],
)
def test_a_click_nobody_can_play_is_refused_in_a_sentence(
    click_settings: dict[str, int], told: str
) -> None:
    with pytest.raises(RequestError, match=told):
        click(score(V="4/4 w"), **click_settings)  # type: ignore[arg-type]


def test_a_click_of_days_is_refused_before_it_is_made() -> None:
    endless = Score("", "", 1, (Part("P1", "V", (PartBar("1", None, 10**9, (Note(0, 10**9),)),)),))
    with pytest.raises(RequestError, match="hours"):
        click(endless)
    assert LONGEST == 12 * 3600


def test_bars_without_any_time_are_refused() -> None:
    with pytest.raises(RequestError, match="no time"):
        click(Score("", "", 1, (Part("P1", "V", (PartBar("1", None, 0),)),)))


METERS = ["2/4", "3/4", "4/4", "6/8", "9/8", "2/2", "3+4/8", "5/8", "3/8+2/4", "12/16", "7/16"]
bars = st.lists(st.sampled_from(METERS), min_size=1, max_size=12)
tempos = st.fractions(10, 400, max_denominator=97)


@given(bars, bars, tempos, st.integers(0, 3), st.integers(1, 3))
def test_strokes_are_in_order_inside_and_counted_by_the_meters(
    mine: list[str], others: list[str], bpm: Fraction, count_in: int, repeat: int
) -> None:
    others = (others * len(mine))[: len(mine)]
    planned = click(held(mine, others), bpm, ALL, count_in, repeat)
    order = [(stroke.at, rank(stroke.layer)) for stroke in planned.strokes]
    assert order == sorted(set(order))
    assert order[0][0] == 0
    assert all(0 <= stroke.at < planned.length for stroke in planned.strokes)
    beats = [parse(meter).beats for meter in mine]
    struck = len(times(planned))
    assert struck == repeat * sum(map(len, beats)) + count_in * len(beats[0])
    accents = [at for at in times(planned) if at.endswith(">")]
    assert len(accents) == repeat * len(mine) + count_in
    assert planned.length == planned.count_in_length + repeat * planned.pass_length


@given(bars, tempos, st.sampled_from([22050, 44100, 48000, 96000]))
def test_the_sample_of_a_stroke_is_its_exact_time_rounded_once(
    meters: list[str], bpm: Fraction, rate: int
) -> None:
    planned = click(held(meters, meters), bpm, [Layer.BEAT, Layer.DIVISION])
    for stroke in planned.strokes:
        # The clock of a whole score counts the felt beats of its first bar.
        top = stroke.at.numerator * 60 * rate * bpm.denominator
        bottom = stroke.at.denominator * bpm.numerator
        assert frame(planned, stroke.at, rate) == nearest_or_even(top, bottom)


@given(bars, st.lists(st.integers(0, 400), max_size=20), st.integers(1, 3))
def test_stretches_of_samples_that_touch_share_no_stroke_and_lose_none(
    meters: list[str], lengths: list[int], repeat: int
) -> None:
    """At a rate so low that many strokes fall on the samples between two stretches."""
    planned = click(held(meters), 180, ALL, 1, repeat)
    rate, end = 12, int(planned.seconds * 12) + 1
    cuts = [at for at in accumulate(lengths, initial=0) if at < end]
    pieces = [
        stroke
        for first, last in pairwise([*cuts, end])
        for stroke in timed_strokes(planned, rate, first, last)
    ]
    assert pieces == [*timed_strokes(planned, rate, 0, end)]
    assert [at for at, _ in pieces] == [
        at for stroke in planned.strokes if (at := frame(planned, stroke.at, rate)) < end
    ]


def nearest_or_even(top: int, bottom: int) -> int:
    """Whole division to the nearest, halves to even, in integers only."""
    whole, rest = divmod(top, bottom)
    return whole + (2 * rest > bottom or (2 * rest == bottom and whole % 2 == 1))

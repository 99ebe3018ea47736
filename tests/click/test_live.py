"""A click made while it plays: the samples of the file, and the way from frames to music."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import DEFAULT, Layer, LayerChoice, Mix
from companion.click.plan.plan import ClickPlan, with_mix, with_tempo
from companion.click.plan.silences import Growing
from companion.click.plan.tempo_plan import Fixed, Ladder, Ramp, TempoPlan, Turns
from companion.click.plan.timetable import COUNTING
from companion.click.synth.render import LiveClick, render
from companion.errors import RequestError
from companion.sound.sound_source import Source
from tests.click.asking import ALL, take, wished
from tests.score.written import score

F = Fraction
PULLING = score(V="6/8 q. q. | 3/4 q q q", C="2/4 q q | 6/8 q. q.")
RATE = 16000
PLANS: list[TempoPlan] = [
    Fixed(F(1001, 10)),
    Ladder(F(120), F(240), F(37), each=2),
    Ramp(F(100), F(300), over=3),
    Turns(F(150), F(271)),
]
plans = st.sampled_from(PLANS)


def going(tempo: TempoPlan, repeat: int = 3, count_in: int = 1) -> ClickPlan:
    return wished(PULLING, tempo, layers=ALL, count_in=count_in, repeat=repeat)


def test_it_is_a_source_any_player_can_play() -> None:
    source: Source = LiveClick(going(Fixed(F(60))), RATE)
    assert (source.rate, source.length) == (RATE, None)
    assert source.read(0, 960).shape == (960, 2)
    assert source.read(0, 960).dtype == np.int16


@pytest.mark.parametrize("tempo", PLANS)
def test_played_once_it_is_the_file_to_the_last_bit(tempo: TempoPlan) -> None:
    planned = going(tempo)
    once = LiveClick(planned, RATE, is_endless=False)
    whole = render(planned, RATE)
    assert once.length == len(whole)
    heard = np.concatenate([once.read(at, 320) for at in range(0, len(whole), 320)])
    assert np.array_equal(heard[: len(whole)], whole)
    assert not heard[len(whole) :].any()


@settings(deadline=None, max_examples=30)
@given(plans, st.data())
def test_for_ever_it_is_the_file_of_as_many_times_through_as_one_likes(
    tempo: TempoPlan, data: st.DataObject
) -> None:
    endless = LiveClick(going(tempo, repeat=1 if isinstance(tempo, Fixed) else 3), RATE)
    written_out = render(going(tempo, repeat=12), RATE)
    first = data.draw(st.integers(0, len(written_out) - 2000))
    assert np.array_equal(endless.read(first, 1200), written_out[first : first + 1200])


def test_the_millionth_time_through_is_as_exact_as_the_first() -> None:
    # A beat of 60/1001 × 10 s is 9590.4… frames; 5 beats a time.
    source = LiveClick(going(Fixed(F(1001, 10)), count_in=0), RATE)
    number = 10**6
    exact = F(60 * 10 * RATE, 1001) * 4 * number
    frame = source.frame(number, F(0))
    assert abs(frame - exact) <= F(1, 2)
    assert source.pass_at(frame) == number
    assert source.read(frame, 1).any()


@settings(deadline=None)
@given(plans, st.integers(0, 3_000_000))
def test_every_frame_leads_to_its_place_and_back(tempo: TempoPlan, frame: int) -> None:
    source = LiveClick(going(tempo), RATE)
    number, into = source.place_at(frame)
    assert source.frame(number, into) == frame
    assert source.pass_at(frame) == number


def test_places_are_told_from_the_count_in_on() -> None:
    source = LiveClick(going(Fixed(F(60))), RATE)
    assert source.place_at(-1) == source.place_at(0) == (COUNTING, F(0))
    assert source.place_at(RATE) == (COUNTING, F(1))
    assert source.place_at(2 * RATE) == (0, F(0))
    assert source.place_at(2 * RATE + RATE // 2) == (0, F(1, 2))
    assert source.place_at(6 * RATE) == (1, F(0))


def test_the_end_of_what_is_played_once_belongs_to_its_last_time_through() -> None:
    source = LiveClick(going(Fixed(F(60)), repeat=2), RATE, is_endless=False)
    assert source.length is not None
    assert source.place_at(source.length) == (1, F(4))
    assert source.pass_at(source.length + 10**6) == 1


def test_layers_are_switched_by_handing_over_another_plan_and_nothing_moves() -> None:
    planned = going(Fixed(F(90)))
    both = LiveClick(planned, RATE)
    off = LiveClick(with_mix(planned, Mix((LayerChoice(Layer.THEIRS, is_on=False),))), RATE)
    for frame in range(0, 200_000, 7_777):
        assert off.place_at(frame) == both.place_at(frame)
    layers = tuple(layer for layer in ALL if layer is not Layer.THEIRS)
    without = LiveClick(wished(PULLING, 90, layers=layers, count_in=1), RATE)
    # All eight layers leave no room; without one of them the others may be a little louder.
    assert np.array_equal(off.read(0, 100_000), without.read(0, 100_000))


def test_another_tempo_goes_on_at_the_same_place_in_the_music() -> None:
    chosen = take(PULLING)
    slow = LiveClick(wished(chosen, 60, layers=DEFAULT, count_in=1), RATE)
    fast = LiveClick(with_tempo(slow.plan, chosen, Fixed(F(90))), RATE)
    place = slow.place_at(100_000)
    assert fast.place_at(fast.frame(*place))[0] == place[0]
    assert abs(fast.place_at(fast.frame(*place))[1] - place[1]) < F(1, RATE)


def test_growing_silences_go_on_growing_while_it_plays() -> None:
    planned = wished(score(V="2/4 q q"), 120, layers=(Layer.BEAT,), silences=(Growing(3),))
    source = LiveClick(planned, RATE)
    heard = [number for number in range(20) if source.read(source.frame(number, F(0)), 1).any()]
    assert heard == [0, 1, 3, 4, 7, 8, 12, 13, 17, 18]


def test_what_cannot_be_read_is_refused() -> None:
    with pytest.raises(ValueError, match="cannot read"):
        LiveClick(going(Fixed(F(60))), RATE).read(0, -1)
    with pytest.raises(RequestError):
        LiveClick(going(Fixed(F(60))), 1)

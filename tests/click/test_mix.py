"""How loud, in which voice and where: the mix, and the ceiling nothing ever reaches."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import (
    CEILING,
    DEFAULT,
    AnyLayer,
    Layer,
    LayerChoice,
    Mix,
    PartRhythm,
)
from companion.click.plan.percussion import PERCUSSION
from companion.click.plan.plan import with_mix
from companion.click.synth.layer_sounds import LayerSounds, headroom
from companion.click.synth.render import render
from companion.errors import RequestError
from tests.click.asking import ALL, click, wished
from tests.click.between_samples import true_peak
from tests.click.listening import onsets
from tests.score.written import score, score_of

PULLING = score(V="6/8 * | *", C="2/4 * | *")
FIRST_FIVE = (*DEFAULT, Layer.DIVISION, Layer.RESULTANT)
PARTS = tuple(PartRhythm(part, f"Part {part}") for part in range(1, 4))
MINUS_ONE = 10 ** (-1 / 20)


@pytest.mark.parametrize("rate", [22050, 44100, 48000, 96000])
def test_the_first_five_layers_have_room_as_they_are(rate: int) -> None:
    assert headroom(Mix(), FIRST_FIVE, rate) == 1


@pytest.mark.parametrize("rate", [22050, 44100, 48000])
def test_all_layers_at_once_stay_under_minus_one_decibel_between_samples_too(rate: int) -> None:
    layers: tuple[AnyLayer, ...] = (*ALL, *PARTS)
    quartet = score_of({"V": "6/8 *", **dict.fromkeys("WAC", "2/4 *")})
    planned = wished(quartet, layers=layers, count_in=1, repeat=2)
    peak = true_peak(render(planned, rate))
    assert 0.5 < peak < MINUS_ONE


choices = st.builds(
    LayerChoice,
    st.sampled_from(ALL),
    st.just(True),
    st.floats(0.1, 2),
    st.sampled_from(["", *PERCUSSION]),
    st.none() | st.floats(-1, 1),
)


@settings(deadline=None, max_examples=40)
@given(
    st.lists(choices, max_size=8, unique_by=lambda choice: choice.layer),
    st.fractions(40, 400, max_denominator=12),
    st.sampled_from([44100, 48000]),
)
def test_whatever_is_wanted_of_the_layers_nothing_comes_near_full_scale(
    wanted: list[LayerChoice], bpm: Fraction, rate: int
) -> None:
    made = score_of({"V": "15/16 * | 6/8 *", "C": "4/4 * | 2/4 *"})
    planned = with_mix(click(made, bpm, ALL, 1), Mix(tuple(wanted)))
    assert true_peak(render(planned, rate)) < MINUS_ONE


def test_where_others_play_along_the_click_can_be_kept_lower() -> None:
    planned = with_mix(click(PULLING, layers=ALL), Mix(ceiling=CEILING - 0.3))
    assert true_peak(render(planned)) < MINUS_ONE - 0.3


def test_half_the_level_is_half_as_high() -> None:
    full = click(PULLING, layers=[Layer.BEAT])
    half = with_mix(full, Mix((LayerChoice(Layer.BEAT, level=0.5),)))
    loud, soft = render(full).astype(int), render(half).astype(int)
    assert np.abs(loud - 2 * soft).max() <= 1


def test_a_layer_can_be_put_anywhere_between_the_ears() -> None:
    left = with_mix(click(PULLING), Mix((LayerChoice(Layer.BEAT, place=-1.0),)))
    only = render(
        with_mix(
            left, Mix((LayerChoice(Layer.BEAT, place=-1.0), LayerChoice(Layer.MINE, is_on=False)))
        )
    )
    half = only[18000 + 24000 : 18000 + 48000]
    assert half.any()
    beat = render(
        with_mix(click(PULLING, layers=[Layer.BEAT]), Mix((LayerChoice(Layer.BEAT, place=-1.0),)))
    )
    assert beat[:, 0].any() and not beat[:, 1].any()


def test_another_voice_is_struck_where_the_old_one_was() -> None:
    usual = click(PULLING, bpm=80, layers=[Layer.BEAT])
    cup = with_mix(usual, Mix((LayerChoice(Layer.BEAT, voice="cup"),)))
    assert onsets(render(cup), 48000) == onsets(render(usual), 48000)
    spectrum = np.abs(np.fft.rfft(render(cup)[:2400, 0].astype(float), 48000))
    assert abs(int(spectrum.argmax()) - PERCUSSION["cup"].pitch) < 60


def test_a_layer_switched_off_leaves_the_others_bit_for_bit() -> None:
    both = click(PULLING, layers=[Layer.BEAT, Layer.THEIRS])
    off = with_mix(both, Mix((LayerChoice(Layer.THEIRS, is_on=False),)))
    assert np.array_equal(render(off), render(click(PULLING, layers=[Layer.BEAT])))
    again = with_mix(off, Mix((LayerChoice(Layer.THEIRS, is_on=True),)))
    assert np.array_equal(render(again), render(both))


def test_without_the_beat_one_is_still_counted_in_by_beats() -> None:
    planned = click(PULLING, layers=ALL, count_in=1)
    silent = with_mix(planned, Mix(tuple(LayerChoice(layer, is_on=False) for layer in ALL)))
    assert [(s.layer, s.bar) for s in silent.strokes] == [(Layer.BEAT, 0)] * 2


@pytest.mark.parametrize(
    "click_settings", [{"level": -0.1}, {"level": 2.1}, {"voice": "trumpet"}, {"place": 1.5}]
)
def test_a_choice_nobody_can_have_is_refused(click_settings: dict[str, float]) -> None:
    with pytest.raises(RequestError):
        LayerChoice(Layer.BEAT, **click_settings)  # type: ignore[arg-type]


@pytest.mark.parametrize(("rate", "bits"), [(0, 16), (48000, 8), (48000, 32)])
def test_samples_nobody_can_have_are_refused(rate: int, bits: int) -> None:
    with pytest.raises(RequestError, match="not possible"):
        LayerSounds(click(PULLING), rate, bits)

"""Strokes as samples: where they begin, how loud they get, and how a loop closes."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan, plan
from companion.click.synth.render import render
from companion.errors import RequestError
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from tests.click.asking import ALL, click, frame, held, take
from tests.click.listening import onsets
from tests.score.written import score, score_of

PULLING = score(V="6/8 * | *", C="2/4 * | *")
CEILING = 10 ** (-1 / 20) * 32767
"""−1 dBFS."""


def test_three_against_two_lies_on_its_samples() -> None:
    # 36,000 samples a beat at 80 and 48 kHz; 3:2 strikes at 0, 1/3, 1/2, 2/3.
    samples = render(click(PULLING, bpm=80))
    assert samples.shape == (4 * 36000, 2)
    beat = [0, 12000, 18000, 24000]
    assert onsets(samples, 48000) == [36000 * k + at for k in range(4) for at in beat]


def test_a_half_sample_goes_to_the_even_neighbour() -> None:
    # At 44.1 kHz the half of the first beat falls on 16537.5, of the second on 49612.5.
    found = onsets(render(click(PULLING, bpm=80), 44100), 44100)
    assert found[:8] == [0, 11025, 16538, 22050, 33075, 44100, 49612, 55125]


def test_my_side_is_louder_on_the_left_and_theirs_on_the_right() -> None:
    samples = np.abs(render(click(PULLING, bpm=60, layers=[Layer.MINE, Layer.THEIRS])))
    mine, theirs = samples[16000], samples[24000]
    assert mine[0] > 3 * mine[1] > 0
    assert theirs[1] > 3 * theirs[0] > 0


def test_the_first_of_the_bar_is_louder_than_the_second() -> None:
    samples = np.abs(render(click(score(V="2/4 q q"), layers=[Layer.BEAT])).astype(int))
    assert samples[:48000].max() > 1.3 * samples[48000:].max()


def test_a_stroke_sounds_the_same_wherever_it_falls() -> None:
    samples = render(click(PULLING, bpm=Fraction(145, 2), layers=[Layer.BEAT], repeat=9))
    beats = onsets(samples, 48000)
    assert len(beats) == 36
    for at in beats[::2]:
        assert np.array_equal(samples[at : at + 2400], samples[:2400])


def test_all_layers_together_stay_under_minus_one_decibel() -> None:
    samples = render(click(PULLING, bpm=60, layers=ALL, count_in=1))
    assert np.abs(samples.astype(int)).max() < CEILING


@settings(deadline=None, max_examples=60)
@given(
    st.fractions(10, 400, max_denominator=12),
    st.sampled_from(["2/4", "5/8", "16/16", "15/8", "7/4"]),
    st.sampled_from(["3/8", "3+4/8", "4/4", "13/16"]),
    st.sets(st.sampled_from(Layer), min_size=1),
)
def test_no_click_however_dense_comes_near_full_scale(
    bpm: Fraction, mine: str, other: str, layers: set[Layer]
) -> None:
    planned = click(score_of({"V": f"{mine} *", "C": f"{other} *"}), bpm, layers, 1, 2)
    samples = render(planned)
    assert np.abs(samples.astype(int)).max() < CEILING
    assert len(samples) == frame(planned, planned.length, 48000)


def dense(count_in: int = 0, repeat: int = 1) -> ClickPlan:
    """Two bars at 400, the second cut into 16 against 15 a beat: strokes every 9.4 ms."""
    chosen = take(held(["2/4", "2/4"], ["2/4", "2/4"]))
    pull = Conflict(2, 2, (16, 15), "beat", "rhythm", (Side(16, ("P1",)), Side(15, ("P2",))))
    return plan(
        chosen, [pull], tempo_bpm=Fraction(400), layers=ALL, count_in=count_in, repeat=repeat
    )


def test_strokes_so_fast_that_they_damp_each_other_still_begin_on_their_samples() -> None:
    planned = dense()
    samples = render(planned).astype(int)
    mine = [stroke for stroke in planned.strokes if stroke.layer is Layer.MINE]
    assert len(mine) == 32
    for stroke in mine:
        at = frame(planned, stroke.at, 48000)
        assert abs(samples[at, 0] - samples[at - 1, 0]) > 1000


def test_what_rings_beyond_the_end_is_damped_to_silence() -> None:
    planned = dense()
    samples = np.abs(render(planned).astype(int))
    assert len(samples) == 4 * 7200
    assert not samples[-1].any()
    assert samples[-450:-300].max() > 1000


@pytest.mark.parametrize("rate", [0, -1, 15999, 10**9])
def test_an_impossible_sample_rate_is_refused(rate: int) -> None:
    with pytest.raises(RequestError, match="samples a second is not possible"):
        render(click(PULLING), rate)


def test_a_clock_of_many_beats_never_drifts() -> None:
    planned = click(score_of({"V": " | ".join(["4/4 w"] * 200)}), bpm=Fraction(1001, 10))
    beats = [frame(planned, stroke.at, 44100) for stroke in planned.strokes]
    exact = [Fraction(k * 60 * 10 * 44100, 1001) for k in range(800)]
    assert max(abs(a - b) for a, b in zip(beats, exact, strict=True)) <= Fraction(1, 2)
    assert {b - a for a, b in pairwise(beats)} == {26433, 26434}


def test_a_passage_from_the_middle_begins_at_sample_nought() -> None:
    long = score_of({"V": " | ".join(["4/4 w"] * 8)})
    assert onsets(render(click(take(long, first=5, last=6), bpm=60)), 48000)[0] == 0

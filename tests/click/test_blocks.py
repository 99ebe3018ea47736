"""Any stretch of a click, made by itself, has the bits it has in the whole."""

from fractions import Fraction
from tracemalloc import get_traced_memory, start, stop

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan, plan
from companion.click.plan.silences import Fade, RandomSilence
from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.click.synth.layer_sounds import LayerSounds
from companion.click.synth.render import BLOCK, blocks, render, stretch
from companion.findings.bar_pulls import Side
from companion.findings.conflicts import Conflict
from tests.click.asking import ALL, click, held, take, wished
from tests.score.written import score

F = Fraction
PULLING = score(V="6/8 q. q. | 3/4 q q q", C="2/4 q q | 6/8 q. q.")
RATE = 16000


def dense() -> ClickPlan:
    """Strokes every 9.4 ms, each damping the last."""
    chosen = take(held(["2/4"], ["2/4"]))
    pull = Conflict(1, 1, (16, 15), "beat", "rhythm", (Side(16, ("P1",)), Side(15, ("P2",))))
    return plan(chosen, [pull], tempo_bpm=F(400), layers=ALL, count_in=1, repeat=3)


PLANS: list[TempoPlan] = [
    Fixed(F(145, 2)),
    Ladder(F(200), F(400), F(63)),
    Ramp(F(120), F(300)),
    Turns(F(180), F(271)),
    Marked(F(2)),
]


@st.composite
def plans(draw: st.DrawFn) -> ClickPlan:
    tempo = draw(st.sampled_from(PLANS))
    silences = (RandomSilence(F(1, 4), draw(st.integers(0, 9))),) if draw(st.booleans()) else ()
    fades = (Fade(Layer.BEAT, 3),) if draw(st.booleans()) else ()
    return wished(PULLING, tempo, layers=ALL, count_in=1, repeat=3, silences=silences, fades=fades)


@settings(deadline=None, max_examples=40)
@given(plans() | st.just(dense()), st.lists(st.integers(1, 30000), min_size=1, max_size=8))
def test_pieces_of_any_size_make_up_the_whole(planned: ClickPlan, sizes: list[int]) -> None:
    whole, sounds = render(planned, RATE), LayerSounds(planned, RATE)
    silence = np.zeros((500, 2), np.int16)
    expected = np.concatenate([silence, whole, silence])
    at, number = 0, 0
    while at < len(expected):
        count = min(sizes[number % len(sizes)] + 100, len(expected) - at)
        assert np.array_equal(stretch(planned, sounds, at - 500, count), expected[at : at + count])
        at, number = at + count, number + 1


def test_blocks_follow_each_other_without_a_seam() -> None:
    planned = wished(PULLING, Ladder(F(60), F(90), F(10)), layers=ALL, count_in=2)
    made = [block.copy() for block in blocks(planned)]
    assert {len(block) for block in made[:-1]} == {BLOCK}
    assert np.array_equal(np.concatenate(made), render(planned))


@pytest.mark.parametrize("bits", [16, 24])
def test_finer_samples_are_the_same_click(bits: int) -> None:
    planned = click(PULLING, layers=ALL)
    made = np.concatenate([block.copy() for block in blocks(planned, bits=bits)])
    coarse = made / 2.0 ** (bits - 16)
    # Each layer is rounded to half a step of 16 bits, and the sum is theirs.
    assert np.abs(coarse - render(planned)).max() <= len(ALL) / 2
    assert made.dtype == (np.int16 if bits == 16 else np.int32)


def test_a_long_click_takes_no_more_memory_than_a_short_one() -> None:
    def most(repeat: int) -> int:
        planned = click(PULLING, bpm=120, layers=ALL, repeat=repeat)
        for _ in blocks(planned, RATE):
            pass
        start()
        for _ in blocks(planned, RATE):
            pass
        peak = get_traced_memory()[1]
        stop()
        return peak

    assert most(200) < 1.2 * most(20) < 4_000_000

"""A take whose click ran on another device's clock: taken out, and the take judged right."""

from __future__ import annotations

import numpy as np
import pytest

from companion.click.synth.render import render
from companion.listening.click_removal import without_click
from companion.listening.due_times import due_in
from companion.listening.hearing import hear
from companion.listening.judgement import judgement
from companion.listening.onset_strength import slower
from companion.listening.take import Take, click_in
from tests.listening.performing import (
    LACKING,
    RATE,
    VIOLIN,
    Wave,
    click_of,
    corpus_passage,
    due_of,
    in_a_room,
    performed,
    rendered,
)

pytestmark = pytest.mark.skipif(bool(LACKING), reason=LACKING)

WHICH = corpus_passage("mozart/k458/movement1.mxl", 0, 1, 137)
CLICK, DUE = click_of(WHICH, 92), due_of(WHICH, 92)


@pytest.fixture(scope="module")
def played() -> Wave:
    """Nearly three minutes, the notes off the beat 35 ms late."""
    late = performed(DUE, 7, begins=1.3, late=lambda n: 0.035 * (n.side != "on the beat"))
    return in_a_room(rendered(late, VIOLIN), 7)


def leaking(wave: Wave, apart: float) -> Wave:
    """The click, 6 dB under the take, from 1.3 s on, on a clock that is faster by a share."""
    click = render(CLICK, RATE).mean(axis=1)
    click = np.interp(np.arange(len(click)) * (1 + apart), np.arange(len(click)), click)
    spectrum = np.fft.rfft(click)
    hertz = np.fft.rfftfreq(len(click), 1 / RATE)
    click = np.fft.irfft(spectrum * (hertz / 500) ** 2 / (1 + (hertz / 500) ** 2), len(click))
    click *= np.abs(wave).max() / np.abs(click).max() / 2
    both: Wave = np.zeros(len(wave))
    first = round(1.3 * RATE)
    both[first : first + len(click)] = click[: len(wave) - first]
    return both


@pytest.mark.parametrize("apart", [0.0, 1e-4, -2e-4])
def test_the_click_goes_whatever_clock_it_ran_on(played: Wave, apart: float) -> None:
    leak = leaking(played, apart)
    (mixed, rate), (dry, _) = slower(played + leak, RATE), slower(played, RATE)
    rest = without_click(mixed, click_in(CLICK, RATE), rate)
    assert ((rest - dry) ** 2).sum() < 0.05 * ((mixed - dry) ** 2).sum()


def test_three_minutes_on_two_clocks_are_judged_right(played: Wave) -> None:
    heard = hear(Take(played + leaking(played, 2e-4), RATE), DUE, CLICK)
    judged = judgement(heard, due_in(WHICH, CLICK))
    (off,) = [side for side in judged.sides if not side.is_reference]
    assert off.is_off
    assert off.late == pytest.approx(0.035, abs=0.008)
    assert abs(judged.drift) < 0.005
    assert judged.bpm == pytest.approx(92, abs=0.1)

"""The click is taken out of a take, whatever clock the device ran on that it came from.

COMPANION_TAKE_MINUTES=3 tries it on nearly three minutes; the default is one.
"""

from __future__ import annotations

import os
from functools import cache

import numpy as np
import pytest

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
    with_click,
)

pytestmark = pytest.mark.skipif(bool(LACKING), reason=LACKING)

MINUTES = int(os.environ.get("COMPANION_TAKE_MINUTES", "1"))
WHICH = corpus_passage("mozart/k458/movement1.mxl", 0, 1, 46 * MINUTES)
CLICK, DUE = click_of(WHICH, 92), due_of(WHICH, 92)


@cache
def played() -> Wave:
    """The notes off the beat 35 ms late."""
    late = performed(DUE, 7, begins=1.3, late=lambda n: 0.035 * (n.side != "on the beat"))
    return in_a_room(rendered(late, VIOLIN), 7)


@pytest.mark.parametrize("apart", [0.0, 1e-4, 2e-4, -2e-4])
def test_the_click_goes_whatever_clock_it_ran_on(apart: float) -> None:
    mixed, rate = slower(with_click(played(), CLICK, 1.3, -24.0, apart), RATE)
    dry, _ = slower(played(), RATE)
    rest = without_click(mixed, click_in(CLICK, RATE), rate)
    # Power: 9 dB less, for a click that is laid a bar late leaves that bar in; 20 where it is not.
    assert ((rest - dry) ** 2).sum() < 0.125 * ((mixed - dry) ** 2).sum()


def test_a_take_without_click_is_left_as_it_is() -> None:
    dry, rate = slower(played(), RATE)
    assert np.array_equal(without_click(dry, click_in(CLICK, RATE), rate), dry)
    few = dry[: round(8 * rate)]
    assert np.array_equal(without_click(few, click_in(CLICK, RATE), rate), few)
    assert np.array_equal(without_click(dry, np.zeros(len(dry)), rate), dry)


def test_a_take_on_two_clocks_is_judged_right() -> None:
    heard = hear(Take(with_click(played(), CLICK, 1.3, -24.0, 2e-4), RATE), DUE, CLICK)
    judged = judgement(heard, due_in(WHICH, CLICK))
    (off,) = [side for side in judged.sides if not side.is_reference]
    assert off.is_off
    assert off.late == pytest.approx(0.035, abs=0.008)
    assert abs(judged.drift) < 0.005
    assert judged.bpm == pytest.approx(92, abs=0.1)

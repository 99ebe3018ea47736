"""Several sources as one: added exactly, in balance, and never over the top."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from companion.click.plan.layers import CEILING
from companion.sound.combined_sources import MixChannel, SourceMix
from companion.sound.sound_source import Rendered
from tests.sound.music import RATE, noise

FULL = 32768


def steady(level: float, frames: int = 100, loop_from: int | None = None) -> Rendered:
    samples = np.full((frames, 2), round(level * FULL), np.int16)
    return Rendered(samples, RATE, loop_from)


def test_one_stem_alone_is_passed_on_bit_for_bit() -> None:
    click = noise(500, seed=1)
    mixed = SourceMix(
        [MixChannel("click", click, 0.5), MixChannel("others", noise(500, 2), 0.3, is_on=False)]
    )
    assert np.array_equal(mixed.read(10, 300), click.read(10, 300))


def test_two_stems_are_added() -> None:
    mixed = SourceMix(
        [MixChannel("click", steady(0.25), 0.25), MixChannel("others", steady(0.5), 0.5)]
    )
    assert (mixed.read(0, 10) == round(0.75 * FULL)).all()


def test_what_would_be_too_loud_is_taken_down_together() -> None:
    mixed = SourceMix(
        [MixChannel("click", steady(0.8), 0.8), MixChannel("others", steady(0.8), 0.8)]
    )
    assert np.abs(mixed.read(0, 10)).max() == round(CEILING * FULL)


def test_turning_the_others_off_leaves_the_click_as_loud_as_it_was() -> None:
    click = MixChannel("click", steady(0.8), 0.8)
    others_too = MixChannel("others", steady(0.4), 0.4)
    both = SourceMix([click, others_too])
    alone = SourceMix([click, replace(others_too, is_on=False)])
    others = SourceMix([replace(click, is_on=False), others_too])
    together = alone.read(0, 10).astype(int) + others.read(0, 10)
    assert np.abs(together - both.read(0, 10)).max() <= 1


def test_a_gain_of_one_half_is_half_as_strong() -> None:
    mixed = SourceMix([MixChannel("click", steady(0.5), 0.5, gain=0.5)])
    assert (mixed.read(0, 10) == FULL // 4).all()


def test_the_first_stem_says_how_long_it_lasts() -> None:
    mixed = SourceMix(
        [MixChannel("click", steady(0.1), 0.1), MixChannel("drone", steady(0.1, loop_from=0), 0.1)]
    )
    assert mixed.length == 100
    assert not mixed.read(100, 50).any()
    assert mixed.read(90, 20)[:10].all()


def test_with_everything_off_there_is_silence() -> None:
    mixed = SourceMix([MixChannel("click", steady(0.5), 0.5, is_on=False)])
    assert mixed.read(0, 7).shape == (7, 2)
    assert not mixed.read(0, 7).any()


def test_stems_of_unequal_rates_do_not_mix() -> None:
    slow = Rendered(np.zeros((5, 2), np.int16), 44100)
    with pytest.raises(ValueError, match="one rate"):
        SourceMix([MixChannel("click", steady(0.1), 0.1), MixChannel("others", slow, 0.1)])
    with pytest.raises(ValueError, match="a mix needs channels"):
        SourceMix([])

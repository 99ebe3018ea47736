"""Attacks of bow noise and a tone that comes later, one now the stronger and now the other:
planted truth in a map of growth."""

from __future__ import annotations

import numpy as np
import pytest

from companion.listening.attack_shapes import timed_by_shape
from companion.listening.onset_strength import HOP, Array
from tests.listening.performing import Wave

LONG_AGO = np.full(12, -np.inf)
BEGUN = np.arange(1.0, 13.0, 1.0) + np.random.default_rng(1).normal(0, 0.015, 12)


def growth(begun: Wave, tone_after: float = 0.06, seed: int = 2) -> Array:
    """(bands, frames): noise in all bands at once, the tone later in the lower ones."""
    chance = np.random.default_rng(seed)
    frames = np.arange(round(15 / HOP)) * HOP
    found = chance.exponential(0.02, (40, len(frames)))
    for at in begun:
        noise, tone = chance.uniform(0.4, 1.2, 2)
        found += noise * np.exp(-0.5 * ((frames - at) / 0.008) ** 2)
        found[:25] += tone * np.exp(-0.5 * ((frames - at - tone_after) / 0.012) ** 2)
    return found.astype(np.float32)


def test_a_note_begins_with_its_noise_though_the_tone_stands_out() -> None:
    expected = np.rint(BEGUN * 4) / 4
    shaped = timed_by_shape(growth(BEGUN), ["C"] * 12, expected, LONG_AGO, [True] * 12)
    off = shaped.seconds - BEGUN
    assert np.ptp(off) < 0.006
    assert np.median(off) == pytest.approx(-0.01, abs=0.006)
    assert shaped.likeness.min() > 0.5


def test_two_pitches_that_speak_differently_begin_alike() -> None:
    both = growth(BEGUN[::2], 0.06) + growth(BEGUN[1::2], 0.0, seed=3)
    shaped = timed_by_shape(both, ["C", "D"] * 6, np.rint(BEGUN * 4) / 4, LONG_AGO, [True] * 12)
    off = shaped.seconds - BEGUN
    assert np.median(off[::2]) == pytest.approx(np.median(off[1::2]), abs=0.005)


def test_the_attack_of_the_note_before_is_not_taken_for_its_own() -> None:
    both = growth(BEGUN, 0.0) + 2 * growth(BEGUN - 0.075, 0.0, seed=3)
    shaped = timed_by_shape(both, ["C"] * 12, BEGUN, BEGUN - 0.075, [True] * 12)
    assert np.abs(shaped.seconds - BEGUN).max() < 0.02


def test_a_note_that_was_not_played_is_like_no_other() -> None:
    there = np.arange(12) != 5
    expected = np.rint(BEGUN * 4) / 4
    shaped = timed_by_shape(growth(BEGUN[there]), ["C"] * 12, expected, LONG_AGO, there.tolist())
    assert shaped.likeness[5] < 0.2 < shaped.likeness[there].min()


def test_one_note_alone_tells_nothing() -> None:
    pitches = ["C"] * 11 + ["D"]
    shaped = timed_by_shape(growth(BEGUN), pitches, BEGUN, LONG_AGO, [True] * 12)
    assert np.isnan(shaped.seconds[11])
    assert not np.isnan(shaped.seconds[:11]).any()


def test_notes_due_after_the_take_ended_keep_nobody_from_the_others() -> None:
    expected = np.append(BEGUN, 40.0)
    before = np.full(13, -np.inf)
    shaped = timed_by_shape(growth(BEGUN), ["C"] * 13, expected, before, [True] * 12 + [False])
    assert np.ptp(shaped.seconds[:12] - BEGUN) < 0.006
    assert shaped.likeness[12] < 0.2

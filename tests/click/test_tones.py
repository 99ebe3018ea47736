"""The tones of the others: in tune, on their sample, the same however they are cut up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.click.plan.timbres import ToneName
from companion.click.synth.tones import sounded
from companion.click.synth.tuning import hertz
from tests.click.hearing import pitch_of

RATE = 48000
every_tone = pytest.mark.parametrize("tone", list(ToneName))


@every_tone
@pytest.mark.parametrize("pitch", [36, 57, 69, 88])
@pytest.mark.parametrize("a", [415.0, 442.0])
def test_a_tone_is_in_tune_within_a_cent(tone: ToneName, pitch: int, a: float) -> None:
    wanted = hertz(pitch, a)
    heard = pitch_of(sounded(tone, wanted, RATE, RATE, 0, RATE), RATE)
    assert abs(1200 * math.log2(heard / wanted)) < 1


@every_tone
def test_a_tone_begins_on_its_first_sample_and_is_over_at_its_last(tone: ToneName) -> None:
    wave = sounded(tone, 220.0, RATE, 9600, -100, 9900)
    assert not wave[:101].any()
    assert wave[101] != 0
    assert not wave[9700:].any()
    assert abs(wave[9699]) < 0.001


@every_tone
@given(st.integers(1, 6000), st.lists(st.integers(-500, 7000), min_size=2, max_size=6), st.data())
def test_pieces_of_a_tone_fit_together_bit_for_bit(
    tone: ToneName, length: int, cuts: list[int], data: st.DataObject
) -> None:
    pitch = data.draw(st.floats(40, 4000))
    edges = sorted(cuts)
    whole = sounded(tone, pitch, RATE, length, edges[0], edges[-1] - edges[0])
    pieces = [
        sounded(tone, pitch, RATE, length, a, b - a) for a, b in zip(edges, edges[1:], strict=False)
    ]
    assert np.array_equal(whole, np.concatenate(pieces))


@every_tone
@pytest.mark.parametrize("pitch", range(24, 109, 7))
def test_no_tone_is_stronger_than_one(tone: ToneName, pitch: int) -> None:
    assert np.abs(sounded(tone, hertz(pitch), RATE, RATE, 0, RATE)).max() <= 1.0


def test_a_plucked_tone_dies_away_and_a_bowed_one_does_not() -> None:
    plucked, bowed = (
        sounded(tone, 220.0, RATE, 2 * RATE, 0, 2 * RATE)
        for tone in (ToneName.PLUCKED, ToneName.BOWED)
    )
    early, late = slice(4800, 9600), slice(76800, 81600)
    assert np.abs(plucked[late]).max() < np.abs(plucked[early]).max() / 8
    assert np.abs(bowed[late]).max() == pytest.approx(np.abs(bowed[early]).max(), rel=0.01)


@every_tone
def test_nothing_sounds_above_what_the_rate_can_carry(tone: ToneName) -> None:
    # Folded partials would lie between the harmonics of a high note.
    wave = sounded(tone, 2093.0, 16000, 16000, 0, 16000)
    spectrum = np.abs(np.fft.rfft(wave * np.blackman(16000)))
    for harmonic in range(1, 4):
        around = 2093 * harmonic
        spectrum[around - 40 : around + 41] = 0
    assert 20 * np.log10(spectrum.max() / (16000 * 0.42 / 2)) < -55

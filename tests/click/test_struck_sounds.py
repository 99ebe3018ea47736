"""The sounds themselves: at once there, soon gone, and not to be mistaken for each other."""

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.click.plan.layers import USUAL_SOUNDS, Layer, PartRhythm, usual_layer_sound
from companion.click.plan.percussion import PERCUSSION
from companion.click.synth.struck_sounds import longest, struck, true_peak

RATES = [16000, 22050, 44100, 48000, 96000]
voices = pytest.mark.parametrize("voice", PERCUSSION)


@voices
@pytest.mark.parametrize("rate", RATES)
def test_a_stroke_is_there_on_its_first_sample(voice: str, rate: int) -> None:
    sound = struck(voice, rate)
    assert abs(sound[0]) > 0.5
    assert np.abs(sound).max() == 1


@voices
@pytest.mark.parametrize("rate", RATES)
def test_a_stroke_is_gone_within_forty_five_milliseconds(voice: str, rate: int) -> None:
    sound = struck(voice, rate)
    assert 0.020 * rate <= len(sound) <= 0.045 * rate + 1
    assert sound[-1] == 0
    assert np.abs(sound[-len(sound) // 10 :]).max() < 0.02


@voices
def test_a_stroke_has_no_standing_offset(voice: str) -> None:
    assert abs(struck(voice, 48000).mean()) < 0.005


@voices
def test_a_stroke_is_the_same_every_time(voice: str) -> None:
    first = struck(voice, 48000).copy()
    struck.cache_clear()
    assert np.array_equal(first, struck(voice, 48000))


@pytest.mark.parametrize(("one", "other"), combinations(PERCUSSION, 2))
def test_no_two_voices_share_their_place_in_the_spectrum(one: str, other: str) -> None:
    a, b = loudest(struck(one, 48000)), loudest(struck(other, 48000))
    assert max(a, b) / min(a, b) > 1.12  # more than a whole tone (9:8) apart


def loudest(sound: NDArray[np.float64]) -> float:
    """Hertz of the strongest frequency at 48 kHz."""
    return float(np.abs(np.fft.rfft(sound, 48000)).argmax())


def weighed(layer: Layer) -> float:
    """Energy of a plain stroke in decibels, as the ear weighs it: the A curve of IEC 61672
    (its formula from memory)."""
    layer_sound = USUAL_SOUNDS[layer]
    spectrum = np.abs(np.fft.rfft(struck(layer_sound.voice, 48000) * layer_sound.level, 8192))
    f2 = np.fft.rfftfreq(8192, 1 / 48000) ** 2
    curve = 1.2589 * 12194**2 * f2**2 / ((f2 + 20.6**2) * (f2 + 12194**2))
    curve /= np.sqrt((f2 + 107.7**2) * (f2 + 737.9**2))
    return float(10 * np.log10(np.sum((spectrum * curve) ** 2)))


def test_beat_my_side_and_the_other_side_are_about_equally_loud() -> None:
    heard = [weighed(layer) for layer in (Layer.BEAT, Layer.MINE, Layer.THEIRS)]
    assert max(heard) - min(heard) < 2


def test_pulses_stand_behind_the_beat() -> None:
    assert weighed(Layer.DIVISION) < weighed(Layer.BEAT) - 6


def test_every_layer_has_a_voice_that_exists_and_none_is_left_over() -> None:
    dresses = [
        *USUAL_SOUNDS.values(),
        *(usual_layer_sound(PartRhythm(part, "")) for part in range(3)),
    ]
    used = {
        name for layer_sound in dresses for name in (layer_sound.voice, layer_sound.accented_voice)
    }
    assert used == set(PERCUSSION)
    assert longest(48000) == 2160


@voices
def test_what_a_voice_reaches_between_its_samples_is_known(voice: str) -> None:
    # Sixteen times as many points by Whittaker and Shannon's series (textbook) around the
    # first millisecond, where every voice is loudest.
    sound = struck(voice, 48000)
    at = np.arange(-16, 48 * 16) / 16
    curve = np.array([np.dot(sound, np.sinc(t - np.arange(len(sound)))) for t in at])
    assert true_peak(voice, 48000) == pytest.approx(np.abs(curve).max(), rel=0.03)
    assert true_peak(voice, 48000) >= 1

"""The struck sounds of one mix, ready to be added: one for each layer and weight.

Voices become whole numbers here, once, and are then only added, so that the same plan
gives the same bits every time, however it is cut into blocks.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from companion.click.plan.beats import Weight
from companion.click.plan.layers import AnyLayer, Layer, LayerSound, Mix, layer_sound_in
from companion.click.plan.plan import ClickPlan
from companion.click.plan.strokes import Stroke
from companion.click.synth.struck_sounds import released_to_zero, struck, true_peak
from companion.errors import RequestError

RATE = 48000
"""Samples a second, where nothing else is asked for."""
RATES = (16000, 192000)
"""Lowest and highest sample rate."""

LayerSamples = NDArray[np.signedinteger[Any]]
"""(frames, 2): left and right, whole numbers."""


@dataclass(frozen=True, slots=True)
class SampleFormat:
    """How fine a sample is."""

    bits: int
    """Bits of a sample in a file."""
    kind: type[np.int16] | type[np.int32]
    """What holds one here."""

    @property
    def full_scale(self) -> int:
        """The largest number a sample can be."""
        return int(2 ** (self.bits - 1)) - 1


SAMPLE_FORMATS = {16: SampleFormat(16, np.int16), 24: SampleFormat(24, np.int32)}


class LayerSounds:
    """The sounds of a plan at a sample rate. Immutable; use it from any thread."""

    def __init__(self, plan: ClickPlan, rate: int = RATE, bits: int = 16) -> None:
        """Raises RequestError for a sample rate outside 16,000–192,000, or other bits."""
        if not RATES[0] <= rate <= RATES[1]:
            raise RequestError(
                f"{rate} samples a second is not possible", next=f"Choose {RATES[0]}–{RATES[1]}."
            )
        if bits not in SAMPLE_FORMATS:
            raise RequestError(
                f"samples of {bits} bits are not possible",
                next=f"Choose {' or '.join(map(str, SAMPLE_FORMATS))}.",
            )
        self.rate = rate
        self.sample_format = SAMPLE_FORMATS[bits]
        mix, layers = plan.click_settings.mix, plan.click_settings.layers
        heard = {*layers, Layer.BEAT} if plan.counted else set(layers)
        self._room = headroom(mix, heard, rate)
        self._layer_sounds = {layer: layer_sound_in(mix, layer) for layer in heard}

    def sound(self, stroke: Stroke) -> LayerSamples:
        """One stroke, left and right. Shared: do not write into it."""
        layer_sound = self._layer_sounds[stroke.layer]
        factor = self._room if stroke.share == 1 else self._room * float(stroke.share)
        return _sound(layer_sound, stroke.weight, factor, self.rate, self.sample_format)

    def damped(self, sound: LayerSamples, count: int) -> LayerSamples:
        """Its first `count` frames, the second half of them led to zero."""
        released = count // 2
        ramp = np.concatenate([np.ones(count - released), released_to_zero(released)])
        shorter: LayerSamples = np.rint(sound[:count] * ramp[:, None]).astype(
            self.sample_format.kind
        )
        return shorter


@lru_cache(maxsize=512)
def _sound(
    layer_sound: LayerSound, weight: Weight, factor: float, rate: int, form: SampleFormat
) -> LayerSamples:
    voice, level = layer_sound.sounds(weight)
    ears = np.array([min(1.0, 1 - layer_sound.place), min(1.0, 1 + layer_sound.place)])
    wave = struck(voice, rate)[:, None] * ears * (level * factor) * form.full_scale
    sound: LayerSamples = np.rint(wave).astype(form.kind)
    sound.setflags(write=False)
    return sound


def headroom(mix: Mix, layers: Iterable[AnyLayer], rate: int) -> float:
    """By how much all layers must be turned down, so that together they stay under the ceiling.

    1 if there is room as it is: for beat, division, mine, theirs and resultant together.
    """
    ears = [0.0, 0.0]
    for layer in (layer for layer in layers if mix.is_on(layer)):
        layer_sound = layer_sound_in(mix, layer)
        highest = max(
            level * true_peak(voice, rate) for voice, level in map(layer_sound.sounds, Weight)
        )
        ears[0] += highest * min(1.0, 1 - layer_sound.place)
        ears[1] += highest * min(1.0, 1 + layer_sound.place)
    return min(1.0, mix.ceiling / max(ears)) if max(ears) else 1.0

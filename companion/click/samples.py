"""From a plan to samples: every stroke begins exactly on its own sample.

The sample is `frame(plan, stroke.at, rate)`: rounded once, from the absolute position.
Voices are made whole numbers first and then only added, so the same plan gives the same
bits every time. A layer is one instrument: its next stroke damps the last one, hence
no more than one stroke of each layer sounds at a time and the sum of the layers' levels
bounds every sample under −1 dBFS.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from companion.click.layers import DRESS, Layer
from companion.click.plan import Plan, frame
from companion.click.voices import longest, released_to_zero, struck
from companion.errors import RequestError

RATE = 48000
"""Samples a second, where nothing else is asked for."""
RATES = (16000, 192000)
"""Lowest and highest sample rate."""

Samples = NDArray[np.int16]
"""(frames, 2): left and right."""

_FULL_SCALE = 32767


def render(plan: Plan, rate: int = RATE) -> Samples:
    """The whole plan, count-in and repeats included.

    `round(plan.seconds * rate)` frames; what would ring beyond them is damped.
    Raises RequestError for a sample rate outside 16,000–192,000.
    """
    _check(rate)
    end = frame(plan, plan.length, rate)
    samples = np.zeros((end, 2), np.int16)
    for layer, strokes in _by_layer(plan, rate, before=plan.length).items():
        _lay(samples, layer, strokes, end, rate)
    return samples


def render_loop(plan: Plan, rate: int = RATE) -> tuple[Samples, int]:
    """Count-in and one time through, to be played once and then round and round.

    Returns the samples and the frame at which the passage begins, to which a player jumps
    back from the end. What rings beyond the end sounds at that place instead, and what
    rings out of the count-in is damped there, so that every time round is the same. A loop
    is a whole number of frames: up to half a frame (10 µs) longer or shorter than exact.
    Raises RequestError for a sample rate outside 16,000–192,000.
    """
    _check(rate)
    end_of_pass = plan.count_in + plan.pass_length
    loop_from, end = frame(plan, plan.count_in, rate), frame(plan, end_of_pass, rate)
    samples = np.zeros((end + longest(rate), 2), np.int16)
    for layer, strokes in _by_layer(plan, rate, before=end_of_pass).items():
        split = sum(start < loop_from for start, _ in strokes)
        counted, played = strokes[:split], strokes[split:]
        _lay(samples, layer, counted, loop_from, rate)
        if played:
            _lay(samples, layer, played, end - loop_from + played[0][0], rate)
    ringing = samples[end:]
    room = min(len(ringing), end - loop_from)
    samples[loop_from : loop_from + room] += ringing[:room]
    return samples[:end], loop_from


def _by_layer(plan: Plan, rate: int, *, before: Fraction) -> dict[Layer, list[tuple[int, bool]]]:
    """(frame, whether accented) of each layer's strokes in order, up to a clock time."""
    found: dict[Layer, list[tuple[int, bool]]] = {}
    for stroke in plan.strokes:
        if stroke.at < before:
            place = frame(plan, stroke.at, rate), stroke.is_accented
            found.setdefault(stroke.layer, []).append(place)
    return found


def _lay(
    samples: Samples, layer: Layer, strokes: list[tuple[int, bool]], until: int, rate: int
) -> None:
    """Add one layer's strokes, each damped by the next, the last one at `until`."""
    for (start, is_accented), (end, _) in pairwise([*strokes, (until, False)]):
        sound = _sound(layer, is_accented, rate)
        if end - start < len(sound):
            sound = _damped(sound, end - start)
        samples[start : start + len(sound)] += sound


@lru_cache(maxsize=64)
def _sound(layer: Layer, is_accented: bool, rate: int) -> Samples:
    """One stroke at its level and place, left and right. Shared: do not write into it."""
    dress = DRESS[layer]
    voice = dress.accented_voice if is_accented else dress.voice
    level = dress.accented_level if is_accented else dress.level
    ears = np.array([min(1.0, 1 - dress.place), min(1.0, 1 + dress.place)])
    wave = struck(voice, rate)[:, None] * ears * level * _FULL_SCALE
    sound: Samples = np.rint(wave).astype(np.int16)
    sound.setflags(write=False)
    return sound


def _damped(sound: Samples, count: int) -> Samples:
    """Its first `count` frames, the second half of them led to zero."""
    released = count // 2
    ramp = np.concatenate([np.ones(count - released), released_to_zero(released)])
    damped: Samples = np.rint(sound[:count] * ramp[:, None]).astype(np.int16)
    return damped


def _check(rate: int) -> None:
    lowest, highest = RATES
    if not lowest <= rate <= highest:
        raise RequestError(
            f"{rate} samples a second is not possible", next=f"Choose {lowest}–{highest}."
        )

"""The struck bodies of the click: what each one is, before anybody strikes it.

Kept apart from the making of the sound, so that a command can name the voices without
waiting for an array library.

Where the ratios of partials come from (physics of the ideal bodies, from memory): a free
bar 1 : 2.756 : 5.404, a circular membrane 1 : 1.594 : 2.136 : 2.296. Pitches and decays
were set by spectrogram, so that each voice stands in a place of its own: more than a
whole tone from its neighbours, above what small loudspeakers lose.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class PercussionSound:
    """A struck body."""

    pitch: float
    """Hertz of its first partial."""
    partials: tuple[tuple[float, float, float], ...]
    """(ratio to the first, loudness, seconds in which it falls to 1/e) of each partial."""
    noise: float
    """Loudness of the stroke itself."""
    length: float
    """Seconds until it is silent."""
    key: int
    """Percussion key on channel 10 that comes nearest to it."""


PERCUSSION: Mapping[str, PercussionSound] = MappingProxyType(
    {
        "low block": PercussionSound(
            988.0, ((1, 1, 0.008), (2.756, 0.4, 0.004), (5.404, 0.15, 0.002)), 0.05, 0.035, 76
        ),
        "high block": PercussionSound(
            1480.0, ((1, 1, 0.009), (2.756, 0.5, 0.005), (5.404, 0.2, 0.002)), 0.05, 0.040, 76
        ),
        "stick": PercussionSound(2490.0, ((1, 1, 0.008), (2.756, 0.12, 0.003)), 0.02, 0.040, 75),
        "skin": PercussionSound(
            415.0,
            ((1, 1, 0.013), (1.594, 0.6, 0.010), (2.136, 0.35, 0.008), (2.296, 0.2, 0.006)),
            0.05,
            0.045,
            77,
        ),
        "rattle": PercussionSound(
            3100.0, ((1, 0.5, 0.004), (1.33, 0.5, 0.004), (1.83, 0.5, 0.003)), 0.5, 0.030, 37
        ),
        "tick": PercussionSound(4700.0, ((1, 1, 0.003), (1.5, 0.3, 0.002)), 0.02, 0.020, 42),
        "board": PercussionSound(640.0, ((1, 1, 0.011), (2.756, 0.25, 0.004)), 0.15, 0.045, 56),
        "cup": PercussionSound(1880.0, ((1, 1, 0.011), (2.756, 0.3, 0.006)), 0.02, 0.045, 67),
        "shell": PercussionSound(1200.0, ((1, 1, 0.007), (1.594, 0.3, 0.005)), 0.10, 0.030, 60),
        "reed": PercussionSound(2150.0, ((1, 1, 0.007), (1.594, 0.2, 0.004)), 0.05, 0.030, 62),
        "gourd": PercussionSound(800.0, ((1, 1, 0.008), (1.594, 0.35, 0.006)), 0.10, 0.035, 61),
        "cane": PercussionSound(520.0, ((1, 1, 0.009), (2.756, 0.3, 0.005)), 0.05, 0.035, 64),
        "triangle": PercussionSound(
            2860.0, ((1, 1, 0.009), (1.41, 0.3, 0.006), (2.19, 0.2, 0.004)), 0.02, 0.040, 80
        ),
        "pebble": PercussionSound(3300.0, ((1, 1, 0.005), (1.33, 0.2, 0.003)), 0.05, 0.025, 69),
    }
)
"""Keys are of the General MIDI 1 percussion map, which covers 35–81: 37 side stick is
as the map prints it; 42 closed hi-hat, 56 cowbell, 60 high and 61 low bongo, 62 muted and 64
low conga, 67 high agogo, 69 cabasa, 75 claves, 76 high and 77 low wood block, 80 mute triangle
are from memory. The metronome keys 33 and 34 lie outside it and may be silent."""

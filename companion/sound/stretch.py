"""Sound handed to a card in one piece, and taken back while it plays.

A card that only accepts whole stretches cannot be paused: what it was given, it
plays. But it reads the samples from our memory as it goes, so what it has not
fetched yet can still be turned into silence, with a fade, before it is told to
stop. Without that a pause would come a third of a second late and end in a click.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from companion.sound.cue import Cue
from companion.sound.seam import Samples, fade_frames, fading_in, fading_out, to_samples


@dataclass(slots=True, eq=False)
class Stretch:
    """One piece of sound in the hands of the card."""

    samples: Samples
    """What the card reads from, silence at the front included; writable."""
    card: int
    """The card's frame at which the first sample is heard."""
    end: int
    """The card's frame after the last sample, or after the fade once hushed."""
    rate: int
    """Frames a second."""
    playing: Any
    """The library's handle."""
    hushed: bool = False
    """Whether it has been taken back."""

    def hush(self, here: int) -> None:
        """Fade out at frame `here` of the card and be silent from there on."""
        first = max(0, here - self.card)
        last = min(len(self.samples), first + fade_frames(self.rate))
        if first < last:
            self.samples[first:last] = to_samples(fading_out(self.samples[first:last]))
            self.samples[last:] = 0
        self.end = min(self.end, self.card + last)
        self.hushed = True

    def lasts(self, now: int) -> bool:
        """Whether the library still holds it, or it is still to be heard."""
        return self.end > now or bool(self.playing.is_playing())

    def broke_off(self, now: int) -> bool:
        """Whether it fell silent more than a second before its end."""
        rest = self.end - now
        return not self.hushed and rest > self.rate and not self.playing.is_playing()


def render(cue: Cue, lead: int, most: int, *, soften: bool) -> Samples:
    """Up to `most` frames from the cue on, after `lead` frames of silence; writable."""
    if cue.source is None:
        return np.zeros((0, 2), dtype=np.int16)
    end = cue.source.length
    count = most if end is None else max(0, min(most, end - cue.frame))
    samples = np.zeros((lead + count, 2), dtype=np.int16)
    samples[lead:] = cue.source.read(cue.frame, count)
    fade = slice(lead, lead + min(count, fade_frames(cue.source.rate)))
    if soften:
        samples[fade] = to_samples(fading_in(samples[fade]))
    return samples

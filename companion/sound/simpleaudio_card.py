"""The sound card through simpleaudio: a second way, for computers without miniaudio.

The library plays a buffer from beginning to end and tells nothing about it. So
positions come from a clock, endless sound is handed over in long stretches, each
sent early with silence in front so that it falls into place as the one before it
ends, and a change takes effect a little later than the card's queue reaches.
Waiting for a buffer's end through the library crashes newer interpreters; it is
never done, and on those the library is refused.
"""

from __future__ import annotations

import atexit
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from companion.sound import sound_libraries
from companion.sound.card import ClockMark, NextSound, Turn, failed, marked, sound_at, turned
from companion.sound.crossfade import Samples, fade_frames, fading_in, fading_out, to_samples
from companion.sound.sound_error import SoundError

STRETCH_SECONDS = 120.0
"""What is handed over at once: 23 MB at 48,000 frames a second."""
LEAD_SECONDS = 0.2
"""How far ahead a change is placed: twice the library's queue of 0.1 s."""
EARLY_SECONDS = 0.5
"""How long before the end of a stretch the next one is handed over."""
FETCHED_SECONDS = 0.05
"""How long after a fade the library is told to stop; told at once, it might cut the
fade off."""
CLOSING_PATIENCE_SECONDS = 1.0
"""How long closing waits for the library's threads."""


class SimpleaudioCard:
    """The system's default device, in long stretches."""

    name = "simpleaudio"

    def __init__(
        self,
        rate: int,
        stretch: float = STRETCH_SECONDS,
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        """`stretch`: seconds handed over at once. SoundError when nothing can be played."""
        self.rate = rate
        self.marks: tuple[ClockMark, ...] = (ClockMark(0, NextSound()),)
        self._library = sound_libraries.simpleaudio()
        self._most = round(stretch * rate)
        self._lead = round(LEAD_SECONDS * rate)
        self._clock = clock
        self._opened = clock()
        self._stretches: list[PlayingPiece] = []
        self._timers: list[threading.Timer] = []
        self._next: threading.Timer | None = None
        self._lock = threading.RLock()
        self._try_out()
        atexit.register(self.close)

    def now(self) -> int:
        """The frame heard now, by the clock."""
        return int((self._clock() - self._opened) * self.rate)

    def fault(self) -> str:
        """A sentence if the card fell silent by itself."""
        with self._lock:
            if any(stretch.broke_off(self.now()) for stretch in self._stretches[-1:]):
                return "The sound device stopped playing. Check it and start again."
        return ""

    def start(self, turn: Turn) -> None:
        """Carry out a first change; each stretch opens the device for itself."""
        self.turn(turn, soften=False)

    def turn(self, turn: Turn, *, soften: bool) -> None:
        """Carry out a change: at once out of silence, else as soon as it can be placed."""
        with self._lock:
            now = self.now()
            here = now + self._lead if any(one.end > now for one in self._stretches) else now
            self._take_back(here)
            self._begin(turned(sound_at(self.marks, here), turn), here, soften=soften)

    def close(self) -> None:
        """Fade out, tell the library to stop, and wait for its threads, a second at most."""
        atexit.unregister(self.close)
        with self._lock:
            self._take_back(self.now() + self._lead)
            stretches, self._stretches = self._stretches, []
        for timer in self._timers:
            timer.cancel()
            timer.join()
        _wait_for(stretches, 2 * LEAD_SECONDS)
        for stretch in stretches:
            stretch.playing.stop()
        _wait_for(stretches, CLOSING_PATIENCE_SECONDS)

    def _try_out(self) -> None:
        """Ten milliseconds of silence, to find out now whether there is a device."""
        try:
            self._hand_over(np.zeros((self.rate // 100, 2), dtype=np.int16), ends=0)
        except Exception as fault:
            raise SoundError(
                f"simpleaudio cannot play here ({fault})",
                next="Check the sound device, or choose miniaudio or silent.",
            ) from fault

    def _take_back(self, here: int) -> None:
        """Take back whatever has been handed over, from the card's frame `here` on."""
        if self._next is not None:
            self._next.cancel()
        for stretch in self._stretches:
            if not stretch.is_taken_back:
                stretch.take_back(here)
                self._later(LEAD_SECONDS + FETCHED_SECONDS, stretch.playing.stop)

    def _begin(self, next_sound: NextSound, here: int, *, soften: bool) -> None:
        """Hand over what follows `next_sound`, to be heard from the card's frame `here` on."""
        if not next_sound.moving or next_sound.at_end():
            self.marks = marked(self.marks, here, next_sound)
            return
        try:
            lead = max(0, here - self.now())
            samples = render_piece(next_sound, lead, self._most, soften=soften)
            # What rendering took is taken off the silence in front.
            late = lead - max(0, here - self.now())
            stretch = self._hand_over(samples[late:], ends=len(samples) - late)
        except Exception as fault:  # noqa: BLE001  source and library may raise anything
            self.marks = marked(self.marks, here, failed(next_sound, fault))
            return
        self.marks = marked(self.marks, stretch.card + lead - late, next_sound)
        following = next_sound.after(len(samples) - lead)
        if not following.at_end():
            wait = (stretch.end - self.now()) / self.rate - EARLY_SECONDS
            self._next = self._later(max(0.0, wait), lambda: self._go_on(stretch, following))

    def _go_on(self, stretch: PlayingPiece, following: NextSound) -> None:
        with self._lock:
            if stretch in self._stretches and not stretch.is_taken_back:
                self._begin(following, stretch.end, soften=False)

    def _hand_over(self, samples: Samples, *, ends: int) -> PlayingPiece:
        playing = self._library.play_buffer(samples, 2, 2, self.rate)
        now = self.now()
        stretch = PlayingPiece(samples, now, now + ends, self.rate, playing)
        self._stretches = [*(one for one in self._stretches if one.lasts(now)), stretch]
        return stretch

    def _later(self, seconds: float, action: Callable[[], None]) -> threading.Timer:
        timer = threading.Timer(seconds, action)
        timer.daemon = True
        self._timers = [*(one for one in self._timers if one.is_alive()), timer]
        timer.start()
        return timer


def _wait_for(stretches: list[PlayingPiece], seconds: float) -> None:
    until = time.perf_counter() + seconds
    while any(one.playing.is_playing() for one in stretches) and time.perf_counter() < until:
        time.sleep(0.005)


# Sound handed to a card in one piece, and taken back while it plays.


@dataclass(slots=True, eq=False)
class PlayingPiece:
    """One piece of sound in the hands of the card."""

    samples: Samples
    """What the card reads from, silence at the front included; writable."""
    card: int
    """The card's frame at which the first sample is heard."""
    end: int
    """The card's frame after the last sample, or after the fade once it was taken back."""
    rate: int
    """Frames a second."""
    playing: Any
    """The library's handle."""
    is_taken_back: bool = False

    def take_back(self, here: int) -> None:
        """Fade out at frame `here` of the card and be silent from there on."""
        first = max(0, here - self.card)
        last = min(len(self.samples), first + fade_frames(self.rate))
        if first < last:
            self.samples[first:last] = to_samples(fading_out(self.samples[first:last]))
            self.samples[last:] = 0
        self.end = min(self.end, self.card + last)
        self.is_taken_back = True

    def lasts(self, now: int) -> bool:
        """Whether the library still holds it, or it is still to be heard."""
        return self.end > now or bool(self.playing.is_playing())

    def broke_off(self, now: int) -> bool:
        """Whether it fell silent more than a second before its end."""
        rest = self.end - now
        return not self.is_taken_back and rest > self.rate and not self.playing.is_playing()


def render_piece(next_sound: NextSound, lead: int, most: int, *, soften: bool) -> Samples:
    """Up to `most` frames from the next sound on, after `lead` frames of silence; writable."""
    if next_sound.source is None:
        return np.zeros((0, 2), dtype=np.int16)
    end = next_sound.source.length
    count = most if end is None else max(0, min(most, end - next_sound.frame))
    samples = np.zeros((lead + count, 2), dtype=np.int16)
    samples[lead:] = next_sound.source.read(next_sound.frame, count)
    fade = slice(lead, lead + min(count, fade_frames(next_sound.source.rate)))
    if soften:
        samples[fade] = to_samples(fading_in(samples[fade]))
    return samples

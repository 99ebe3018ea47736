"""Trying a sound device: which one, and how much later the ear is than the screen.

A soft stroke sounds each second and the screen shows its number when it should be heard;
the delay is turned until both agree. Another device is opened and the old one let go in
one step, so that two are never held at once.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.sound.device_choice import (
    EARLIEST,
    LATEST,
    keep_sound_choice,
    player_for,
    sound_choice,
)
from companion.sound.player import Player, devices

if TYPE_CHECKING:
    from companion.sound.sound_source import Rendered

DELAY_STEP = 5
"""Milliseconds that one key press turns the delay."""


class DeviceCheck:
    """A device on trial. Opening one may take a second: make it and `try_device` in a thread."""

    def __init__(self, folders: Folders) -> None:
        self.choice = sound_choice(folders)
        self.devices = devices()
        self.notice = ""
        self._folders = folders
        self._player = self._opened()

    @property
    def backend(self) -> str:
        """The library that plays: "miniaudio", "simpleaudio" or "silent"."""
        return self._player.name

    @property
    def is_sounding(self) -> bool:
        """Whether the test click is on."""
        return self._player.state == "playing"

    @property
    def failure(self) -> str:
        """Why the sound stopped by itself; empty while it has not."""
        return self._player.failure

    def try_device(self, name: str | None) -> None:
        """Play on another device, None for the system's own; the click is off at first."""
        self._player.close()
        self.choice = replace(self.choice, device=name)
        self._player = self._opened()

    def turn_delay(self, by: int) -> None:
        """So many milliseconds later, or earlier if negative, within what can be set."""
        delay = min(max(self.choice.delay + by, EARLIEST), LATEST)
        self.choice = replace(self.choice, delay=delay)
        self._player.set_offset(delay / 1000)

    def click(self) -> None:
        """Begin the soft click, or end it. Raises CompanionError if it cannot begin."""
        if self.is_sounding:
            self._player.stop()
        else:
            self._player.start(soft_click(self._player.rate))

    def stroke(self) -> tuple[int, float] | None:
        """Which stroke should be heard now, from 1, and seconds since it began; None before."""
        return stroke_at(self._player.heard(), self._player.rate) if self.is_sounding else None

    def keep(self) -> CompanionError | None:
        """Keep the choice; why it will be forgotten where the disk refuses."""
        try:
            keep_sound_choice(self._folders, self.choice)
        except CompanionError as problem:
            return problem
        return None

    def close(self) -> None:
        """Let go of the device. May be called twice."""
        self._player.close()

    def _opened(self) -> Player:
        player, self.notice = player_for(self.choice)
        return player


# A few soft strokes to find the device, set the volume and compare the ear with the screen.


STROKES = 4
"""Strokes of one time through, one a second, the first one higher."""
_LEVEL = 0.07
"""Peak of a stroke, as a share of full scale (−23 dBFS)."""
LEAD = 3
"""Seconds of silence before the first stroke, to read the caution and reach for the knob."""
CAUTION = (
    "A soft test click follows in three seconds. Take headphones off your ears first, turn "
    "the volume low and then up: no program can know how loud it is at your ear."
)
"""Told before it sounds."""


def soft_click(rate: int) -> Rendered:
    """After LEAD seconds of silence four soft strokes, one a second, round and round."""
    import numpy as np

    from companion.click.synth.struck_sounds import struck
    from companion.sound.sound_source import Rendered

    samples = np.zeros(((LEAD + STROKES) * rate, 2), np.int16)
    for number in range(STROKES):
        wave = struck("low block" if number else "high block", rate) * _LEVEL * 32767
        begin = (LEAD + number) * rate
        samples[begin : begin + len(wave)] = np.rint(wave).astype(np.int16)[:, None]
    samples.setflags(write=False)
    return Rendered(samples, rate, LEAD * rate)


def stroke_at(frame: int, rate: int) -> tuple[int, float] | None:
    """Which stroke was heard last, from 1, and how many seconds ago; None before the first."""
    number, rest = divmod(frame - LEAD * rate, rate)
    return (number % STROKES + 1, rest / rate) if number >= 0 else None

"""Strokes of a MIDI pad, each with the moment at which it came in.

A port calls back in its own thread as soon as a message is there; the moment is taken at once,
so that a busy screen does not make a tap late.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any, Protocol

from companion.sound.midi_out import REFUSALS, midi_backend
from companion.sound.sound_error import SoundError

_SUSTAIN = 64
"""The controller of a sustain pedal, down from 64 on (MIDI 1.0, controller numbers)."""
_HALF_DOWN = 64


class PadPort(Protocol):
    """A port that is open (mido's own input port is one)."""

    def close(self) -> None:
        """Let go of it."""
        ...


OpenPad = Callable[[Callable[[Any], None]], PadPort]
"""Opens a port that hands each message to a function."""


class Pad:
    """A pad that is listened to. Close it."""

    def __init__(self, open_pad: OpenPad, clock: Callable[[], float] = time.monotonic) -> None:
        """Raises SoundError if it cannot be opened."""
        self.strokes: list[tuple[float, int]] = []
        """(moment by `clock`, MIDI key) of every stroke so far."""
        self.presses: list[tuple[float, bool]] = []
        """(moment by `clock`, whether it went down) of the sustain pedal and of every key."""
        self._clock = clock
        self._port = open_pad(self._came)

    def close(self) -> None:
        """Let go of the port. May be called twice."""
        self._port.close()

    def _came(self, message: Any) -> None:  # noqa: ANN401  mido carries no types
        now = self._clock()
        if message.type == "control_change" and message.control == _SUSTAIN:
            self.presses.append((now, message.value >= _HALF_DOWN))
        elif message.type in ("note_on", "note_off"):
            self.presses.append((now, message.type == "note_on" and message.velocity > 0))
        if message.type == "note_on" and message.velocity > 0:
            self.strokes.append((now, message.note))


def pads() -> list[str]:
    """The names of MIDI inputs; empty if there are none, or python-rtmidi is missing."""
    try:
        return sorted(set(midi_backend().get_input_names()))
    except (SoundError, *REFUSALS):
        return []


def pad_named(name: str) -> OpenPad:
    """How a pad is opened. Raises SoundError when that is done and it does not open."""

    def open_pad(came: Callable[[Any], None]) -> PadPort:
        try:
            port: PadPort = midi_backend().open_input(name, callback=came)
        except REFUSALS as fault:
            raise SoundError(
                f"The MIDI pad '{name}' does not open ({fault})",
                next="Close what else uses it, or tap on two keys.",
            ) from fault
        return port

    return open_pad

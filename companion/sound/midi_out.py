"""The click as MIDI messages, sent when they are heard.

A drum module has no notion of our sound card's clock, so a thread follows what is heard
(the same place the playhead shows, the player's own delay included) and sends whatever
was reached since it last looked. It asks where we are and never counts along: after a
pause, a seek or another tempo it is right at once. It sleeps until the next message is
due, a hundredth of a second at most, so that it costs next to nothing.
"""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, NamedTuple, Protocol

from companion.sound.sound_error import SoundError, sentence_of

LONGEST_NAP = 0.010
"""Seconds after which it looks again at the latest: how late a seek or a pause is noticed."""
LEAP = 0.1
"""Seconds by which what is heard may run ahead of the clock and still be the same music: a card's
own clock is estimated, and corrected now and then. A bar further on is more than that."""
NOTE_SECONDS = 0.05
"""How long a note is held: a drum needs only its beginning."""
_PERCUSSION = 9
"""Channel 10, counted from 0."""


class MidiStroke(NamedTuple):
    """One stroke for a drum module."""

    frame: int
    """The frame at which it is heard."""
    key: int | None
    """Percussion key; None for a tick of the MIDI clock, 24 to the quarter."""
    velocity: int = 0
    """1 to 127."""


class MidiStrokes(Protocol):
    """The strokes of a source, by frame."""

    @property
    def rate(self) -> int:
        """Frames a second."""
        ...

    def between(self, first: int, last: int) -> Sequence[MidiStroke]:
        """Strokes from frame `first` up to but not including `last`, in order."""
        ...


Heard = tuple[MidiStrokes, int]
"""What is heard now and its frame."""


class MidiOut:
    """Follows what is heard on a port. `begin` starts its thread, `close` ends it."""

    def __init__(
        self,
        port: Port,
        heard: Callable[[], Heard | None],
        clock: Callable[[], float] = time.perf_counter,
    ) -> None:
        """`heard` tells what is heard now, None while nothing moves; asked from a thread."""
        self.failure = ""
        self._port: Port | None = port
        self._heard = heard
        self._clock = clock
        self._before: Heard | None = None
        self._is_moving = False
        self._looked = clock()
        self._held: list[tuple[float, int]] = []
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._follow, name="midi out", daemon=True)

    def begin(self) -> None:
        """Follow from now on."""
        self._thread.start()

    def close(self) -> None:
        """Let go of every note, of the port and of the thread. May be called twice."""
        self._done.set()
        if self._thread.is_alive():
            self._thread.join()
        if self._port is not None:
            self._let_go(float("inf"))
            self._try(self._port.close)
            self._port = None

    def look(self) -> float:
        """Send what was reached since the last look; seconds until the next one is due."""
        now = self._clock()
        self._let_go(now)
        heard = self._heard()
        if (heard is not None) != self._is_moving:
            self._tell_moving(heard)
        nap = LONGEST_NAP
        if heard is not None:
            nap = self._send_up_to(*heard, now)
            self._before = heard
        self._looked = now
        return nap

    def _send_up_to(self, strokes: MidiStrokes, frame: int, now: float) -> float:
        first = self._first(strokes, frame, now)
        for stroke in strokes.between(first, frame + 1):
            self._strike(stroke, now)
        longest = round(LONGEST_NAP * strokes.rate)
        coming = strokes.between(frame + 1, frame + 1 + longest)
        return (coming[0].frame - frame) / strokes.rate if coming else LONGEST_NAP

    def _first(self, strokes: MidiStrokes, frame: int, now: float) -> int:
        """The first frame not yet sent.

        Where the music did not simply go on (a start, a jump, another tempo) it did so at
        some moment since the last look: as much is counted back, and nothing more.
        """
        passed = round((now - self._looked) * strokes.rate) + 1
        before, last = self._before or (None, 0)
        if before is strokes and 0 <= frame - last <= passed + round(LEAP * strokes.rate):
            return last + 1
        return max(0, frame + 1 - passed)

    def _tell_moving(self, heard: Heard | None) -> None:
        """What follows a MIDI clock is told to run or to stand still."""
        self._is_moving = heard is not None
        if heard is None:
            self._send("stop")
        else:
            early = LONGEST_NAP * heard[0].rate
            self._send("start" if heard[1] <= early else "continue")

    def _strike(self, stroke: MidiStroke, now: float) -> None:
        if stroke.key is None:
            self._send("clock")
            return
        self._send("note_on", channel=_PERCUSSION, note=stroke.key, velocity=stroke.velocity)
        self._held.append((now + NOTE_SECONDS, stroke.key))

    def _let_go(self, now: float) -> None:
        for due, key in [held for held in self._held if held[0] <= now]:
            self._held.remove((due, key))
            self._send("note_off", channel=_PERCUSSION, note=key, velocity=0)

    def _send(self, kind: str, **values: int) -> None:
        from mido import Message

        message, port = Message(kind, **values), self._port
        if port is not None:
            self._try(lambda: port.send(message))

    def _try(self, action: Callable[[], Any]) -> None:
        """A port may go away at any moment; that is told, and nothing else stops."""
        try:
            action()
        except Exception as fault:  # noqa: BLE001  each backend raises its own
            words = sentence_of(fault).removeprefix("The sound stopped: ")
            self.failure = f"The MIDI port no longer answers: {words}"
            self._done.set()

    def _follow(self) -> None:
        nap = 0.0
        while not self._done.wait(nap):
            nap = max(0.0005, self.look())


# Finding and opening a MIDI port, for players whose drum module makes the click.


_SEQUENCER = Path("/dev/snd/seq")
_OUR_BACKEND = "mido.backends.rtmidi"
REFUSALS = (ImportError, OSError, SystemError, RuntimeError, ValueError)
"""What the libraries raise if there is no MIDI, or it is busy."""


class Port(Protocol):
    """A port that takes messages (mido's own output port is one)."""

    def send(self, message: Any) -> None:  # noqa: ANN401  mido carries no types
        """Send one message now."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


def port_names() -> list[str]:
    """The names under which ports can be asked for; empty if there are none."""
    try:
        return sorted(set(midi_backend().get_output_names()))
    except (SoundError, *REFUSALS):
        return []


def open_port(name: str) -> Port:
    """A port by its name. Raises SoundError if it cannot be had."""
    names = port_names()
    if name not in names:
        found = ", ".join(names) or _why_none()
        raise SoundError(f"There is no MIDI port '{name}'", next=f"Found: {found}.")
    try:
        port: Port = midi_backend().open_output(name, autoreset=True)
    except REFUSALS as fault:
        raise SoundError(
            f"The MIDI port '{name}' does not open ({fault})",
            next="Close what else uses it, or choose another one.",
        ) from fault
    return port


def midi_backend() -> Any:  # noqa: ANN401  mido carries no types
    """The library behind mido, ready to be asked. Raises SoundError or one of REFUSALS."""
    import mido

    if mido.backend.name == _OUR_BACKEND and sys.platform == "linux" and not _SEQUENCER.exists():
        # Asked all the same, the system's library would write across the screen.
        raise SoundError("This computer has no MIDI", next=f"{_SEQUENCER} is not there.")
    with suppress(AttributeError):
        mido.backend.load()
    return mido.backend


def _why_none() -> str:
    """Why no port was found, as the end of a sentence."""
    try:
        midi_backend()
    except SoundError as fault:
        return f"none, {fault.what[0].lower()}{fault.what[1:]}"
    except REFUSALS:
        return "none, install python-rtmidi first (pip install python-rtmidi)"
    return "none"

"""The sound card through miniaudio: gapless, and fed block by block.

The device is opened once and runs until it is closed; what it plays is changed
inside the stream it draws from. Two deaths that the library does not report are
caught here: a device that goes away while it plays, and one that simply stops
asking.
"""

from __future__ import annotations

import atexit
import time
from collections.abc import Generator
from typing import Any

from companion.sound import libraries
from companion.sound.ahead import Ahead
from companion.sound.clock import CardClock
from companion.sound.cue import Mark, Turn, stopped
from companion.sound.device import open_device, words
from companion.sound.fault import SoundError
from companion.sound.seam import Samples, fade_frames
from companion.sound.stream import Stream

FADE_OUT_PATIENCE_SECONDS = 0.25
"""How long closing waits for the last fade to be heard."""


class MiniaudioCard:
    """A device of this computer's sound system."""

    name = "miniaudio"
    _device: Any
    _ahead: Ahead
    _stream: Stream
    _clock: CardClock

    def __init__(self, rate: int, device: str | None = None) -> None:
        """Open `device`, or the system's default; SoundError when that cannot be."""
        self.rate = rate
        self._wanted = device
        self._lost = False
        self._closed = False
        self._open()
        # A device still running while the interpreter is torn down would ask for
        # sound from code that is no longer there.
        atexit.register(self.close)

    @property
    def marks(self) -> tuple[Mark, ...]:
        """The changes carried out since the device was opened."""
        return self._stream.marks

    def now(self) -> int:
        """The frame leaving the device now."""
        return self._clock.played()

    def fault(self) -> str:
        """A sentence if the device went away or asks for nothing any more."""
        if self._lost:
            return "The sound device went away. Connect it again and start again."
        if self._device.running and self._clock.stalled():
            return "The sound device no longer asks for sound. Start again, or restart the device."
        return ""

    def start(self, turn: Turn) -> None:
        """Carry out a first change and let the device run.

        One that went away is looked for again. The change is made before the device is
        let loose, so that its very first block is music.
        """
        if self.fault():
            self._let_go()
            self._open()
        self.turn(turn, soften=False)
        if self._device.running:
            return
        blocks = _blocks(self._stream, self._clock)
        next(blocks)
        try:
            self._device.start(blocks)
        except libraries.miniaudio().MiniaudioError as fault:
            self._lost = True
            raise SoundError(f"The sound device does not start ({words(fault)})") from fault

    def turn(self, turn: Turn, *, soften: bool) -> None:
        """Carry out a change from the next block on."""
        self._stream.order(turn, soften=soften)

    def close(self) -> None:
        """Fade out, then give the device back and end its thread."""
        if self._closed:
            return
        self._closed = True
        atexit.unregister(self.close)
        last = self.marks[-1]
        still_heard = last.cue.moving or self.now() < last.card + fade_frames(self.rate)
        if self._device.running and still_heard:
            self._fade_out()
        self._let_go()

    def _open(self) -> None:
        self._device = open_device(self.rate, self._wanted)
        self._ahead = Ahead(self.rate)
        self._stream = Stream(self.rate, self._ahead)
        self._clock = CardClock(self.rate)
        self._device.stop_callback = self._went_away
        self._lost = False

    def _went_away(self) -> None:
        """Called by the library when the device stops without having been told to."""
        self._lost = True

    def _fade_out(self) -> None:
        self.turn(stopped, soften=True)
        until = time.perf_counter() + FADE_OUT_PATIENCE_SECONDS
        while time.perf_counter() < until and not self._lost:
            last = self.marks[-1]
            if last.cue.source is None and self.now() >= last.card + fade_frames(self.rate):
                return
            time.sleep(0.002)

    def _let_go(self) -> None:
        self._device.stop_callback = None
        self._device.close()
        self._ahead.close()


def _blocks(stream: Stream, clock: CardClock) -> Generator[Samples | bytes, int, None]:
    """What the device's thread asks: a number of frames in, a block out."""
    count = yield b""
    while True:
        clock.asked(count)
        count = yield stream.block(count)

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

from companion.sound import sound_libraries
from companion.sound.card import ClockMark, Turn, stopped
from companion.sound.card_clock import CardClock
from companion.sound.crossfade import Samples, fade_frames
from companion.sound.sound_error import SoundError
from companion.sound.stream import BlockMaker, BlockStream

FADE_OUT_PATIENCE_SECONDS = 0.25
"""How long closing waits for the last fade to be heard."""


class MiniaudioCard:
    """A device of this computer's sound system."""

    name = "miniaudio"
    _device: Any
    _ahead: BlockMaker
    _stream: BlockStream
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
    def marks(self) -> tuple[ClockMark, ...]:
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
        except sound_libraries.miniaudio().MiniaudioError as fault:
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
        still_heard = last.next_sound.moving or self.now() < last.card + fade_frames(self.rate)
        if self._device.running and still_heard:
            self._fade_out()
        self._let_go()

    def _open(self) -> None:
        self._device = open_device(self.rate, self._wanted)
        self._ahead = BlockMaker(self.rate)
        self._stream = BlockStream(self.rate, self._ahead)
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
            if last.next_sound.source is None and self.now() >= last.card + fade_frames(self.rate):
                return
            time.sleep(0.002)

    def _let_go(self) -> None:
        self._device.stop_callback = None
        self._device.close()
        self._ahead.close()


def _blocks(stream: BlockStream, clock: CardClock) -> Generator[Samples | bytes, int, None]:
    """What the device's thread asks: a number of frames in, a block out."""
    count = yield b""
    while True:
        clock.asked(count)
        count = yield stream.block(count)


# Finding and opening a sound device through miniaudio.


PERIOD_MILLISECONDS = 25
"""One block; the card's queue is some three of them. Shorter ones run dry while the
interpreter is busy, longer ones make every command late."""
NO_DEVICE = "No sound device answers"
WITHOUT_DEVICE = "Plug one in or switch it on, or play in silence."


def device_names() -> list[str]:
    """The names under which devices can be asked for; empty when there are none."""
    miniaudio = sound_libraries.miniaudio()
    try:
        return [str(found["name"]) for found in _found(miniaudio)]
    except miniaudio.MiniaudioError:
        return []


def open_device(rate: int, wanted: str | None) -> Any:  # noqa: ANN401  no types
    """A device that can be started, the system's default for None; else SoundError."""
    miniaudio = sound_libraries.miniaudio()
    try:
        device = miniaudio.PlaybackDevice(
            output_format=miniaudio.SampleFormat.SIGNED16,
            nchannels=2,
            sample_rate=rate,
            buffersize_msec=PERIOD_MILLISECONDS,
            device_id=None if wanted is None else _identity(miniaudio, wanted),
            app_name="companion",
        )
    except miniaudio.MiniaudioError as fault:
        raise SoundError(f"{NO_DEVICE} ({words(fault)})", next=WITHOUT_DEVICE) from fault
    if device.backend == "Null":
        device.close()
        raise SoundError(NO_DEVICE, next=WITHOUT_DEVICE)
    return device


def words(fault: Exception) -> str:
    """What the library says, without its number."""
    return str(fault.args[0]) if fault.args else type(fault).__name__


def _identity(miniaudio: Any, wanted: str) -> Any:  # noqa: ANN401  no types
    found = _found(miniaudio)
    for device in found:
        if device["name"] == wanted:
            return device["id"]
    names = ", ".join(str(device["name"]) for device in found) or "none"
    raise SoundError(f"There is no sound device '{wanted}'", next=f"Found: {names}.")


def _found(miniaudio: Any) -> list[dict[str, Any]]:  # noqa: ANN401  no types
    """The devices that can be heard and have a name."""
    devices = miniaudio.Devices()
    if devices.backend == "Null":
        return []
    # The library opens each device to describe it, and gives up on all of them when one
    # is busy or broken. Only names are wanted, so nothing is opened.
    devices._get_info = lambda *_: {}
    return [device for device in devices.get_playbacks() if _can_be_heard(str(device["name"]))]


def _can_be_heard(name: str) -> bool:
    # ALSA lists its null device on every computer, under this description.
    return bool(name) and not name.startswith("Discard all samples")

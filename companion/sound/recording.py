"""The microphone: opened when a take is asked for, closed when it ends.

What comes in is kept in memory and goes nowhere else; whoever asked for it decides whether it
is written down.
"""

from __future__ import annotations

import os
import wave
from collections.abc import Callable, Generator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from companion.files.whole_file import make_own_folder, whole_file
from companion.sound import sound_libraries
from companion.sound.player import ENVIRONMENT
from companion.sound.sound_error import SoundError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RATE = 44100
"""Samples a second."""
_PERIOD_MILLISECONDS = 50
LONGEST = 15 * 60
"""Seconds of a take; what comes later is not kept."""


class CaptureDevice(Protocol):
    """A microphone that hands over blocks of samples (16 bits, one channel)."""

    def start(self, blocks: Generator[None, bytes, None]) -> None:
        """Let it run; `blocks` is sent each block and has been begun."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


class Recording:
    """One take. It listens from the moment it is made until it is stopped."""

    def __init__(self, open_microphone: Callable[[], CaptureDevice] | None = None) -> None:
        """Raises SoundError if there is no microphone, or it does not start."""
        self._blocks: list[bytes] = []
        self._device = (open_microphone or microphone)()
        taking = self._taking()
        next(taking)
        try:
            self._device.start(taking)
        except sound_libraries.miniaudio().MiniaudioError as fault:
            self._device.close()
            raise SoundError(f"The microphone does not start ({fault.args[0]})") from fault

    def stop(self) -> bytes:
        """Close the microphone; all that came in, 16 bits a sample, one channel."""
        self._device.close()
        return b"".join(self._blocks)

    def last(self, seconds: float) -> tuple[bytes, float]:
        """The newest seconds of what has come in so far, and how many there are in all."""
        blocks, wanted = list(self._blocks), round(seconds * RATE) * 2
        total, found = sum(map(len, blocks)), 0
        while blocks[found:] and sum(map(len, blocks[found + 1 :])) >= wanted:
            found += 1
        return b"".join(blocks[found:])[-wanted:], total / 2 / RATE

    def _taking(self) -> Generator[None, bytes, None]:
        count = 0
        while True:
            block = yield
            if count < LONGEST * RATE * 2:
                self._blocks.append(bytes(block))
                count += len(block)


def microphone() -> CaptureDevice:
    """The system's default microphone. Raises SoundError if there is none."""
    if os.environ.get(ENVIRONMENT) == "silent":
        raise SoundError(
            f"Nothing is recorded while {ENVIRONMENT} says silent",
            next="Set it otherwise, or hand over a file: companion listen.",
        )
    library = sound_libraries.miniaudio()
    try:
        device: Any = library.CaptureDevice(
            input_format=library.SampleFormat.SIGNED16,
            nchannels=1,
            sample_rate=RATE,
            buffersize_msec=_PERIOD_MILLISECONDS,
            app_name="companion",
        )
    except library.MiniaudioError as fault:
        raise _no_microphone(f" ({fault.args[0]})") from fault
    if device.backend == "Null":
        device.close()
        raise _no_microphone("")
    found: CaptureDevice = device
    return found


def microphone_count() -> int:
    """How many microphones there are; none is opened."""
    library = sound_libraries.miniaudio()
    try:
        devices = library.Devices()
        devices._get_info = lambda *_: {}  # it would open each to describe it
        return 0 if devices.backend == "Null" else len(devices.get_captures())
    except library.MiniaudioError:
        return 0


def samples_of(recorded: bytes) -> NDArray[np.float64]:
    """What was recorded, -1 to 1."""
    import numpy as np

    return np.frombuffer(recorded, "<i2") / 32768


def write_take(recorded: bytes, path: Path) -> None:
    """Keep a take as WAV. Raises NotWritten."""
    with suppress(OSError):  # the file itself will say what is wrong
        make_own_folder(path.parent)
    with whole_file(path) as file, wave.open(file, "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(RATE)
        sound.writeframes(recorded)


def _no_microphone(why: str) -> SoundError:
    return SoundError(
        f"No microphone answers{why}",
        next="Plug one in, or hand over a file: companion listen.",
    )

"""Finding and opening a sound device through miniaudio.

Left to itself the library plays into nothing when there is no sound system, and lists
a device that throws everything away among the real ones. Both would look like a
working sound card that nobody can hear, so both are turned down here.
"""

from __future__ import annotations

from typing import Any

from companion.sound import libraries
from companion.sound.fault import SoundError

PERIOD_MILLISECONDS = 25
"""One block; the card's queue is some three of them. Shorter ones run dry while the
interpreter is busy, longer ones make every command late."""
NO_DEVICE = "No sound device answers"
WITHOUT_DEVICE = "Plug one in or switch it on, or play in silence."


def device_names() -> list[str]:
    """The names under which devices can be asked for; empty when there are none."""
    miniaudio = libraries.miniaudio()
    try:
        return [str(found["name"]) for found in _found(miniaudio)]
    except miniaudio.MiniaudioError:
        return []


def open_device(rate: int, wanted: str | None) -> Any:  # noqa: ANN401  no types
    """A device that can be started, the system's default for None; else SoundError."""
    miniaudio = libraries.miniaudio()
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

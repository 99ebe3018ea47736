"""Finding and opening a MIDI port, for players whose drum module makes the click.

The library that knows ports may be missing (it has no wheels for newer Pythons), and
where the system has no MIDI at all it raises while it is only being asked for names. A
player reads one sentence in each case, and the practice goes on without.
"""

from __future__ import annotations

import sys
from contextlib import suppress
from pathlib import Path
from typing import Any, Protocol

from companion.sound.fault import SoundError

_SEQUENCER = Path("/dev/snd/seq")
_OUR_BACKEND = "mido.backends.rtmidi"
_REFUSALS = (ImportError, OSError, SystemError, RuntimeError, ValueError)


class Port(Protocol):
    """A port that takes messages (mido's own output port is one)."""

    def send(self, message: Any) -> None:  # noqa: ANN401  mido carries no types
        """Send one message now."""
        ...

    def close(self) -> None:
        """Let go of it."""
        ...


def port_names() -> list[str]:
    """The names under which ports can be asked for; empty where there are none."""
    try:
        return sorted(set(_backend().get_output_names()))
    except (SoundError, *_REFUSALS):
        return []


def open_port(name: str) -> Port:
    """A port by its name. Raises SoundError where it cannot be had."""
    names = port_names()
    if name not in names:
        found = ", ".join(names) or _why_none()
        raise SoundError(f"There is no MIDI port '{name}'", next=f"Found: {found}.")
    try:
        port: Port = _backend().open_output(name, autoreset=True)
    except _REFUSALS as fault:
        raise SoundError(
            f"The MIDI port '{name}' does not open ({fault})",
            next="Close what else uses it, or choose another one.",
        ) from fault
    return port


def _backend() -> Any:  # noqa: ANN401  mido carries no types
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
        _backend()
    except SoundError as fault:
        return f"none, {fault.what[0].lower()}{fault.what[1:]}"
    except _REFUSALS:
        return "none, install python-rtmidi first (pip install 'companion[midi]')"
    return "none"

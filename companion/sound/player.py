"""Playing: one small interface, and who is asked to do it on this computer.

A screen must not care whether there is a sound card. It opens a player, starts a
source, and asks what is heard now; without a card the same calls run in silence and
keep time, and `notice` says why. Nothing heavy is imported until a player is opened.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Literal, Protocol

from companion.errors import RequestError
from companion.sound.deck import Deck
from companion.sound.fault import SoundError

if TYPE_CHECKING:
    from companion.sound.card import Card
    from companion.sound.source import Source

__all__ = ["CHOICES", "ENVIRONMENT", "Player", "SoundError", "State", "devices", "open_player"]

State = Literal["idle", "playing", "paused", "ended", "failed"]

CHOICES = ("auto", "miniaudio", "simpleaudio", "silent")
"""What can be asked for."""
ENVIRONMENT = "COMPANION_SOUND"
"""The environment variable that holds the choice of who asks for none."""


class Player(Protocol):
    """Plays one source at a time.

    Commands come from one thread; what is heard, and in what state, may be asked from
    any. Errors in the source, or in a `carry`, never surface in the command: they end in
    the state "failed" with a sentence in `failure`.
    """

    @property
    def name(self) -> str:
        """ "miniaudio", "simpleaudio" or "silent"."""
        ...

    @property
    def rate(self) -> int:
        """Frames a second; a source must have the same."""
        ...

    @property
    def notice(self) -> str:
        """Why there is silence instead of sound; empty when there is nothing to say."""
        ...

    @property
    def state(self) -> State:
        """What is going on, as far as it can be heard."""
        ...

    @property
    def failure(self) -> str:
        """A sentence once the state is "failed", else empty."""
        ...

    def start(self, source: Source, at: int = 0) -> None:
        """Play `source` from frame `at`, sample for sample. SoundError if it cannot start."""
        ...

    def swap(self, source: Source, carry: Callable[[int], int]) -> None:
        """Go on with another source from the next block; `carry` maps frames, old to new."""
        ...

    def pause(self) -> None:
        """Hold; nothing is lost."""
        ...

    def resume(self) -> None:
        """Go on from there."""
        ...

    def stop(self) -> None:
        """Fall silent and forget the source; another start may follow."""
        ...

    def close(self) -> None:
        """Let go of the device and of every thread. May be called twice."""
        ...

    def set_offset(self, seconds: float) -> None:
        """From now on the ear is so many seconds later than the card."""
        ...

    def heard(self) -> int:
        """The absolute source frame being heard now.

        What waits in the card's queue is taken off. It runs backwards only after a swap
        or a start, is `at` until the first sound of a start, and 0 while idle.
        """
        ...

    def hearing(self) -> tuple[Source | None, int]:
        """Which source is being heard, and its frame.

        After a swap the old one is heard a moment longer, and a frame means nothing
        without its source.
        """
        ...


def open_player(
    choice: str = "auto", *, rate: int = 48000, device: str | None = None, offset: float = 0.0
) -> Player:
    """A player that is ready to start.

    `choice` is one of CHOICES. "auto" follows the environment variable COMPANION_SOUND
    if it is set, else takes miniaudio, and silence when that finds no device or is not
    installed. `device` is a name out of `devices()`, for miniaudio only. `offset` is the
    number of seconds by which the ear is later than the card, as with wireless headphones.

    RequestError for an unknown choice, SoundError when the one asked for cannot play.
    """
    wanted, where = choice, ""
    if choice == "auto" and os.environ.get(ENVIRONMENT):
        wanted, where = os.environ[ENVIRONMENT], ENVIRONMENT
    if wanted not in CHOICES:
        raise RequestError(
            f"There is no sound '{wanted}'", where=where, next=f"Choose {_listed(CHOICES)}."
        )
    if wanted == "silent":
        notice = f"Playing in silence, as {ENVIRONMENT} says." if where else ""
        return _silence(rate, notice)
    try:
        return Deck(_card(wanted, rate, device), offset=offset)
    except SoundError as fault:
        if wanted == "auto":
            return _silence(rate, f"Playing in silence. {fault.sentence()}")
        raise


def devices() -> list[str]:
    """The names of the sound devices found; empty when there are none."""
    from companion.sound.device import device_names

    try:
        return device_names()
    except SoundError:
        return []


def _card(wanted: str, rate: int, device: str | None) -> Card:
    if wanted != "simpleaudio":
        from companion.sound.miniaudio_card import MiniaudioCard

        return MiniaudioCard(rate, device)
    if device is not None:
        raise SoundError(
            "simpleaudio plays on the system's default device only",
            next="Choose miniaudio for another one.",
        )
    from companion.sound.simpleaudio_card import SimpleaudioCard

    return SimpleaudioCard(rate)


def _silence(rate: int, notice: str) -> Player:
    from companion.sound.silent_card import SilentCard

    return Deck(SilentCard(rate), notice=notice)


def _listed(names: tuple[str, ...]) -> str:
    return f"{', '.join(names[:-1])} or {names[-1]}"

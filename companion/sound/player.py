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
from companion.sound import gc_pause
from companion.sound.card import NextSound, paused, resumed, sound_at, started, stopped, swapped
from companion.sound.sound_error import SoundError

if TYPE_CHECKING:
    from companion.sound.card import Card
    from companion.sound.sound_source import Source


PlayerState = Literal["idle", "playing", "paused", "ended", "failed"]

_CHOICES = ("auto", "miniaudio", "simpleaudio", "silent")
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
    def state(self) -> PlayerState:
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
    if wanted not in _CHOICES:
        raise RequestError(
            f"There is no sound '{wanted}'", where=where, next=f"Choose {_listed(_CHOICES)}."
        )
    if wanted == "silent":
        notice = f"Playing in silence, as {ENVIRONMENT} says." if where else ""
        return _silence(rate, notice)
    try:
        return CardPlayer(_card(wanted, rate, device), offset=offset)
    except SoundError as fault:
        if wanted == "auto":
            return _silence(rate, f"Playing in silence. {fault.sentence()}")
        raise


def devices() -> list[str]:
    """The names of the sound devices found; empty when there are none."""
    from companion.sound.miniaudio_card import device_names

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
    from companion.sound.card import SilentCard

    return CardPlayer(SilentCard(rate), notice=notice)


def _listed(names: tuple[str, ...]) -> str:
    return f"{', '.join(names[:-1])} or {names[-1]}"


# The buttons of a player, the same whatever is behind them.


class CardPlayer:
    """A player: source on, swap, pause, stop, and what is heard now.

    Commands come from one thread; `heard`, `hearing`, `state` and `failure` may be
    asked from any.
    """

    def __init__(self, card: Card, *, notice: str = "", offset: float = 0.0) -> None:
        """`offset`: seconds by which the ear is later than the card (wireless headphones)."""
        self.name = card.name
        self.rate = card.rate
        self.notice = notice
        self._card = card
        self._offset = round(offset * card.rate)
        self._take = 0
        self._order = 0
        self._wish: PlayerState = "idle"
        self._awaited = NextSound()
        self._closed = False

    def start(self, source: Source, at: int = 0) -> None:
        """Play `source` from frame `at`, whatever was playing before."""
        if self._closed:
            raise SoundError("The player is closed", next="Open another one.")
        if at < 0:
            raise RequestError(f"There is no frame {at} to start from")
        self._check_rate(source)
        gc_pause.pause_gc(self)
        self._card.start(started(source, at, self._order + 1))
        self._order += 1
        self._take = self._order
        self._awaited = NextSound(source, at, take=self._take, order=self._order)
        self._wish = "playing"

    def swap(self, source: Source, carry: Callable[[int], int]) -> None:
        """Go on with another source from the next block: playing, paused or after the end.

        `carry` takes the next frame of the old source to a frame of the new one; it
        may be called in the card's thread and should be quick. After a failure nothing
        happens: start again.
        """
        self._check_rate(source)
        state = self.state
        if state == "idle":
            raise RequestError("Nothing is playing that could be swapped", next="Start it first.")
        if state != "failed":
            self._order += 1
            self._card.turn(swapped(source, carry, self._order), soften=True)

    def pause(self) -> None:
        """Hold; no frame is lost. Nothing happens unless something is playing."""
        if self.state == "playing":
            self._wish = "paused"
            self._card.turn(paused, soften=True)
            gc_pause.resume_gc(self)

    def resume(self) -> None:
        """Go on from where it was paused. Nothing happens unless it was."""
        if self.state == "paused":
            self._wish = "playing"
            gc_pause.pause_gc(self)
            self._card.turn(resumed, soften=True)

    def stop(self) -> None:
        """Fall silent and forget the source; the next start may come at once."""
        if self._wish != "idle":
            self._wish = "idle"
            self._card.turn(stopped, soften=True)
            gc_pause.resume_gc(self)

    def close(self) -> None:
        """Let go of the device and of every thread. May be called twice."""
        self._closed = True
        self._wish = "idle"
        self._card.close()
        gc_pause.resume_gc(self)

    def set_offset(self, seconds: float) -> None:
        """From now on the ear is so many seconds later than the card."""
        self._offset = round(seconds * self.rate)

    def heard(self) -> int:
        """The absolute source frame being heard now."""
        return self.hearing()[1]

    def hearing(self) -> tuple[Source | None, int]:
        """The source being heard now and its frame: after a swap still the old one for a moment."""
        next_sound = self._sound_heard()
        return next_sound.source, next_sound.frame

    @property
    def state(self) -> PlayerState:
        """What the player is doing, as far as it can be heard."""
        if self.failure:
            return "failed"
        next_sound = self._sound_heard()
        ended = self._wish == "playing" and next_sound.at_end() and next_sound.order == self._order
        return "ended" if ended else self._wish

    @property
    def failure(self) -> str:
        """Why the sound stopped by itself; empty while it has not."""
        if self._wish == "idle":
            return ""
        next_sound = self._card.marks[-1].next_sound
        return (next_sound.failure if next_sound.take == self._take else "") or self._card.fault()

    def _sound_heard(self) -> NextSound:
        if self._wish == "idle":
            return NextSound()
        next_sound = sound_at(self._card.marks, self._card.now() - self._offset)
        return next_sound if next_sound.take == self._take else self._awaited

    def _check_rate(self, source: Source) -> None:
        if source.rate != self.rate:
            raise SoundError(
                f"This sound has {source.rate} frames a second, the player {self.rate}",
                next="Make it again at the player's rate.",
            )

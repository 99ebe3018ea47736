"""The buttons of a player, the same whatever is behind them.

Three ways to the ear (a sound card that is fed, one that is handed whole stretches,
and silence) differ in how sound gets out, and must not differ in what `pause` means
or when a passage counts as ended. So the meaning is here, once, and each card only
carries out changes and tells which of its frames is heard.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from companion.errors import RequestError
from companion.sound import undisturbed
from companion.sound.cue import Cue, cue_at, paused, resumed, started, stopped, swapped
from companion.sound.fault import SoundError

if TYPE_CHECKING:
    from companion.sound.card import Card
    from companion.sound.player import State
    from companion.sound.source import Source


class Deck:
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
        self._wish: State = "idle"
        self._awaited = Cue()
        self._closed = False

    def start(self, source: Source, at: int = 0) -> None:
        """Play `source` from frame `at`, whatever was playing before."""
        if self._closed:
            raise SoundError("The player is closed", next="Open another one.")
        if at < 0:
            raise RequestError(f"There is no frame {at} to start from")
        self._check_rate(source)
        undisturbed.begin(self)
        self._card.start(started(source, at, self._order + 1))
        self._order += 1
        self._take = self._order
        self._awaited = Cue(source, at, take=self._take, order=self._order)
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
            undisturbed.end(self)

    def resume(self) -> None:
        """Go on from where it was held. Nothing happens unless it was."""
        if self.state == "paused":
            self._wish = "playing"
            undisturbed.begin(self)
            self._card.turn(resumed, soften=True)

    def stop(self) -> None:
        """Fall silent and forget the source; the next start may come at once."""
        if self._wish != "idle":
            self._wish = "idle"
            self._card.turn(stopped, soften=True)
            undisturbed.end(self)

    def close(self) -> None:
        """Let go of the device and of every thread. May be called twice."""
        self._closed = True
        self._wish = "idle"
        self._card.close()
        undisturbed.end(self)

    def set_offset(self, seconds: float) -> None:
        """From now on the ear is so many seconds later than the card."""
        self._offset = round(seconds * self.rate)

    def heard(self) -> int:
        """The absolute source frame being heard now."""
        return self.hearing()[1]

    def hearing(self) -> tuple[Source | None, int]:
        """The source being heard now and its frame: after a swap still the old one for a moment."""
        cue = self._heard_cue()
        return cue.source, cue.frame

    @property
    def state(self) -> State:
        """What the player is doing, as far as it can be heard."""
        if self.failure:
            return "failed"
        cue = self._heard_cue()
        ended = self._wish == "playing" and cue.at_end() and cue.order == self._order
        return "ended" if ended else self._wish

    @property
    def failure(self) -> str:
        """Why the sound stopped by itself; empty while it has not."""
        if self._wish == "idle":
            return ""
        cue = self._card.marks[-1].cue
        return (cue.failure if cue.take == self._take else "") or self._card.fault()

    def _heard_cue(self) -> Cue:
        if self._wish == "idle":
            return Cue()
        cue = cue_at(self._card.marks, self._card.now() - self._offset)
        return cue if cue.take == self._take else self._awaited

    def _check_rate(self, source: Source) -> None:
        if source.rate != self.rate:
            raise SoundError(
                f"This sound has {source.rate} frames a second, the player {self.rate}",
                next="Make it again at the player's rate.",
            )

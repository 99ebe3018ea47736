"""What every way to the ear has to offer.

A card carries out changes to what sounds and counts frames; it does not know what
"ended" or "idle" means. That is decided in one place for all of them (`player.py`),
so that a passage cannot end differently with a sound card and without.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

from companion.sound.sound_error import sentence_of

if TYPE_CHECKING:
    from companion.sound.sound_source import Source


class Card(Protocol):
    """A way to the ear, with a clock of its own that counts frames."""

    @property
    def name(self) -> str:
        """The library behind it."""
        ...

    @property
    def rate(self) -> int:
        """Frames a second."""
        ...

    @property
    def marks(self) -> tuple[ClockMark, ...]:
        """The changes carried out so far, oldest first, at least one."""
        ...

    def now(self) -> int:
        """The frame heard now, on the card's clock. Never runs backwards."""
        ...

    def fault(self) -> str:
        """A sentence if the card itself no longer answers, else empty."""
        ...

    def start(self, turn: Turn) -> None:
        """Carry out a first change, and let sound flow; SoundError if it cannot."""
        ...

    def turn(self, turn: Turn, *, soften: bool) -> None:
        """Carry out a change as soon as it can be heard.

        What is being left is faded out; with `soften`, what is entered in mid-course
        is faded in.
        """
        ...

    def close(self) -> None:
        """Let go of the device and of every thread. May be called twice."""
        ...


# Where the music is: the next sound, what a player changes in it, marks on the card's clock.


MARKS_KEPT = 16
"""More changes than anybody can make while one of them is on its way to the ear."""


@dataclass(frozen=True, slots=True)
class NextSound:
    """What sounds next."""

    source: Source | None = None
    """None is silence, nothing put on."""
    frame: int = 0
    """The next frame of the source."""
    moving: bool = False
    """False while paused or stopped: the frame stays where it is."""
    take: int = 0
    """The number of the start it comes from, so that what is still in the card's queue
    from an earlier start is not taken for the present one."""
    order: int = 0
    """The number of the last start or swap it has followed: a source that ends while a
    swap is under way is not the end."""
    failure: str = ""
    """Why nothing moves any more; empty while all is well."""

    def after(self, count: int) -> NextSound:
        """The next sound `count` card frames later, held at the end of a source that ends."""
        if self.source is None or not self.moving:
            return self
        end = self.source.length
        frame = self.frame + count
        return replace(self, frame=frame if end is None else min(frame, end))

    def at_end(self) -> bool:
        """Whether nothing of the source is left."""
        end = None if self.source is None else self.source.length
        return end is not None and self.frame >= end


Turn = Callable[[NextSound], NextSound]
"""A change, made to whatever sounds at the moment it is carried out."""


@dataclass(frozen=True, slots=True)
class ClockMark:
    """From one frame of the card's clock on, this sound holds."""

    card: int
    """Frame of the card's clock, counted from when the card was opened."""
    next_sound: NextSound


def sound_at(marks: tuple[ClockMark, ...], card: int) -> NextSound:
    """What is heard at a frame of the card's clock."""
    mark = next((mark for mark in reversed(marks) if mark.card <= card), marks[0])
    return mark.next_sound.after(max(0, card - mark.card))


def marked(marks: tuple[ClockMark, ...], card: int, next_sound: NextSound) -> tuple[ClockMark, ...]:
    """The marks with one more, and the oldest forgotten."""
    return (*marks[1 - MARKS_KEPT :], ClockMark(card, next_sound))


def turned(next_sound: NextSound, turn: Turn) -> NextSound:
    """The next sound after a change; a failed one if the change itself fails."""
    try:
        return turn(next_sound)
    except Exception as fault:  # noqa: BLE001  the caller's own carry may raise anything
        return failed(next_sound, fault)


def failed(next_sound: NextSound, fault: Exception) -> NextSound:
    """The next sound brought to a halt, with the reason."""
    return replace(next_sound, moving=False, failure=sentence_of(fault))


def started(source: Source, at: int, order: int) -> Turn:
    """Put on a source, from frame `at`; whatever failed before is forgotten."""
    return lambda next_sound: NextSound(source, at, moving=True, take=order, order=order)


def swapped(source: Source, carry: Callable[[int], int], order: int) -> Turn:
    """Go on with another source, at the frame to which `carry` takes the next one."""

    def turn(next_sound: NextSound) -> NextSound:
        if next_sound.failure:
            return next_sound
        return replace(
            next_sound, source=source, frame=max(0, int(carry(next_sound.frame))), order=order
        )

    return turn


def paused(next_sound: NextSound) -> NextSound:
    """Hold at the next frame."""
    return replace(next_sound, moving=False)


def resumed(next_sound: NextSound) -> NextSound:
    """Go on from where it was paused."""
    return next_sound if next_sound.failure else replace(next_sound, moving=True)


def stopped(next_sound: NextSound) -> NextSound:
    """Take the source off."""
    return NextSound(take=next_sound.take)


# Silence that keeps time.


class SilentCard:
    """No sound, the right time.

    Without a sound card a passage must still run: the playhead moves, the bars are
    counted, the passage ends. Nothing is read or rendered and nothing runs in the
    background; where we are is worked out from a clock when somebody asks.
    """

    name = "silent"

    def __init__(self, rate: int, clock: Callable[[], float] = time.perf_counter) -> None:
        """`clock` gives seconds that never run backwards."""
        self.rate = rate
        self.marks: tuple[ClockMark, ...] = (ClockMark(0, NextSound()),)
        self._clock = clock
        self._opened = clock()

    def now(self) -> int:
        """The frame that would be heard now."""
        return int((self._clock() - self._opened) * self.rate)

    def fault(self) -> str:
        """Silence does not fail."""
        return ""

    def start(self, turn: Turn) -> None:
        """Silence is always there."""
        self.turn(turn, soften=False)

    def turn(self, turn: Turn, *, soften: bool) -> None:
        """Carry out a change at once; there is nothing to soften."""
        here = self.now()
        self.marks = marked(self.marks, here, turned(sound_at(self.marks, here), turn))

    def close(self) -> None:
        """There is nothing to let go of."""

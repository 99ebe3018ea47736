"""What every way to the ear has to offer.

A card carries out changes to what sounds and counts frames; it does not know what
"ended" or "idle" means. That is decided in one place for all of them (`deck.py`),
so that a passage cannot end differently with a sound card and without.
"""

from __future__ import annotations

from typing import Protocol

from companion.sound.cue import Mark, Turn


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
    def marks(self) -> tuple[Mark, ...]:
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

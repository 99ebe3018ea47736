"""Silence that keeps time.

Without a sound card a passage must still run: the playhead moves, the bars are
counted, the passage ends. Nothing is read or rendered and nothing runs in the
background; where we are is worked out from a clock when somebody asks.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from companion.sound.card import ClockMark, NextSound, Turn, cue_at, marked, turned


class SilentCard:
    """No sound, the right time."""

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
        self.marks = marked(self.marks, here, turned(cue_at(self.marks, here), turn))

    def close(self) -> None:
        """There is nothing to let go of."""

"""Sound made ready before a sound card asks for it.

A block made while the card waits has to share the interpreter with the screen, thread by
thread and a thousandth of a second at a time; on a bad day that takes a third of the time
there is. So a thread of its own makes the next moments of what sounds, and the card's
thread only picks them up. Nothing can come out wrong that way: a source never changes, so
that what was made ahead is what would be made now. Where nothing is ready (another tempo
a moment ago), the card's thread makes its block itself, as it would without this.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

import numpy as np

from companion.click.blank import still
from companion.sound.seam import Samples
from companion.sound.source import Source, piece

AHEAD_SECONDS = 0.5
"""How much lies ready: a bad moment of a busy computer, many times over."""
STEP_SECONDS = 0.05
"""How much is made at a time; a change is followed after one step at the latest."""
LOOKS_AFTER_SECONDS = 0.02
"""How often it is seen whether there is something to make: once a block or so."""


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """A stretch of a source that was made ahead."""

    source: Source
    """What it was read from."""
    first: int
    """The frame it begins at."""
    samples: Samples
    """Its frames."""

    @property
    def end(self) -> int:
        """The frame after its last one."""
        return self.first + len(self.samples)

    def has(self, source: Source, frame: int) -> bool:
        """Whether a frame of a source lies in it, or would be its next one."""
        return self.source is source and self.first <= frame <= self.end


class Ahead:
    """A thread that makes sound ready, from the moment it is made until it is closed."""

    def __init__(self, rate: int) -> None:
        self._step = round(STEP_SECONDS * rate)
        self._most = round(AHEAD_SECONDS * rate)
        # Both are exchanged whole, by one thread each, so that no lock can keep a card waiting.
        self._wanted: tuple[Source, int] | None = None
        self._ready: Ready | None = None
        self._spoilt: Source | None = None
        self._is_over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="sound-ahead", daemon=True)
        self._thread.start()

    def take(self, source: Source, first: int, count: int) -> Samples | None:
        """Frames of a source, where all of them are ready; what follows is made next.

        Called from the card's thread only. Never waits.
        """
        self._wanted = source, first + count
        ready = self._ready
        if ready is None or not ready.has(source, first) or first + count > ready.end:
            return None
        return ready.samples[first - ready.first : first - ready.first + count]

    def close(self) -> None:
        """End the thread; when this returns it is gone."""
        self._is_over.set()
        self._thread.join()
        self._ready = None

    def _run(self) -> None:
        while not self._is_over.is_set():
            wanted = self._wanted
            if wanted is None or wanted[0] is self._spoilt or not self._make(*wanted):
                self._is_over.wait(LOOKS_AFTER_SECONDS)

    def _make(self, source: Source, frame: int) -> bool:
        """Make one step more, where it is wanted; whether it was."""
        ready = self._ready
        if ready is None or not ready.has(source, frame):
            ready = Ready(source, frame, still(0))
        if ready.end - frame >= self._most:
            return False
        try:
            more = piece(source, ready.end, self._step)
        except Exception:  # noqa: BLE001  the card's thread will meet the same fault, and tell it
            self._spoilt = source
            return False
        samples = np.concatenate([ready.samples[frame - ready.first :], more])
        self._ready = Ready(source, frame, samples)
        return True

"""Which frame leaves the sound card now.

A card asks for sound in blocks, at moments that jitter by many milliseconds while
the program draws or reads a score; counting the frames it has asked for would make
a playhead stutter by as much. But a request is only ever late, never early, so the
earliest of the last requests, each measured against the frames sent before it,
tells when the card's clock began, to a fraction of a millisecond.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from typing import NamedTuple

REQUESTS_KEPT = 50
"""Requests looked back on: little over a second, short enough to follow a card whose
clock runs a little fast or slow."""
LONGEST_QUEUE_SECONDS = 0.5
"""No card is believed to hold more unheard sound than this."""
PATIENCE_SECONDS = 2.0
"""A card that has asked for nothing this long has died without saying so."""


class _Reading(NamedTuple):
    """One consistent state, exchanged whole between the card's thread and the others."""

    began: float
    """When the card would have asked for frame 0, had it always asked on time."""
    sent: int
    """Frames sent so far."""
    queued: float
    """Frames between asking and hearing."""


class CardClock:
    """Follows a card's requests. `asked` from the card's thread, the rest from any."""

    def __init__(self, rate: int, clock: Callable[[], float] = time.perf_counter) -> None:
        self._rate = rate
        self._clock = clock
        self._requests: deque[float] = deque(maxlen=REQUESTS_KEPT)
        self._opened = 0.0
        self._reading: _Reading | None = None
        self._furthest = 0
        self._asked_at = clock()
        self._looked_at = self._asked_at
        self._patient_from = self._asked_at

    def asked(self, count: int) -> None:
        """The card asks for `count` more frames, now."""
        now = self._clock()
        before = self._reading
        if before is None:
            self._opened = now
            sent, queued = 0, float(count)
        else:
            sent, queued = before.sent, self._deepest(before, now)
        began = now - sent / self._rate
        if before is not None and (began - before.began) * self._rate > max(queued, count):
            # So late that the queue has run dry: the card stood still, and what its
            # earlier requests said about its clock is no longer true.
            self._requests.clear()
        self._requests.append(began)
        self._reading = _Reading(min(self._requests), sent + count, queued)
        self._asked_at = now

    def played(self) -> int:
        """The frame leaving the card now. Never runs backwards; 0 before the first request."""
        reading = self._reading
        if reading is None:
            return 0
        frame = int((self._clock() - reading.began) * self._rate - reading.queued)
        self._furthest = max(self._furthest, min(frame, reading.sent))
        return self._furthest

    def stalled(self) -> bool:
        """Whether the card has long stopped asking.

        Time in which nobody looked does not count: a program that was suspended and
        goes on must not take its own sleep for the card's.
        """
        now = self._clock()
        if now - self._looked_at > PATIENCE_SECONDS:
            self._patient_from = now
        self._looked_at = now
        return now - max(self._asked_at, self._patient_from) > PATIENCE_SECONDS

    def _deepest(self, before: _Reading, now: float) -> float:
        """How far the requests run ahead of the ear.

        At the start a card fills its queue in one burst; how far it has run ahead of
        the time since its first request is the depth of the queue.
        """
        longest = LONGEST_QUEUE_SECONDS * self._rate
        if before.sent > longest:
            return before.queued
        return min(longest, max(before.queued, before.sent - (now - self._opened) * self._rate))

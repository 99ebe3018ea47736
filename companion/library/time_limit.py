"""How long one file may take, and whether anybody still waits for it.

A folder of a thousand files holds one that takes for ever. A reader that asks now and then
is told to stop; one that does not ask is interrupted by an alarm, where the system has one
and the reader has the process to itself (`worker.py`).
"""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

LIMIT = 60.0
"""Seconds one file may take."""

_PATIENCE = 0.5
"""Seconds in which a reader may stop of its own accord before it is interrupted."""

_CLEARING_UP = 2.0


class Interrupted(Exception):
    """The alarm went off in the middle of reading."""


class TimeLimit:
    """Watches over the reading of one file after another."""

    def __init__(self, is_stopped: Callable[[], bool], limit: float = LIMIT) -> None:
        self.is_stopped = is_stopped
        """Whether nobody waits any more."""
        self.limit = limit
        """Seconds one file may take."""
        self._deadline: float | None = None
        self._interrupt_at: float | None = None

    @property
    def is_on(self) -> bool:
        """Whether a file is being read."""
        return self._deadline is not None

    @property
    def is_late(self) -> bool:
        """Whether the file has taken all its time."""
        return self._deadline is not None and monotonic() > self._deadline

    def begin(self) -> None:
        """A file is being read from now on."""
        self._interrupt_at = None
        self._deadline = monotonic() + self.limit

    def end(self) -> None:
        """It has been read, or given up."""
        self._deadline = None

    def is_over(self) -> bool:
        """Whether to stop reading, for readers that ask."""
        return self.is_late or self.is_stopped()

    def interrupt(self) -> None:
        """For those that do not: raises Interrupted, but leaves time to clear up."""
        if not self.is_on or not self.is_over():
            return
        now = monotonic()
        if self._interrupt_at is None:
            self._interrupt_at = now + _PATIENCE
        elif now > self._interrupt_at:
            self._interrupt_at = now + _CLEARING_UP
            raise Interrupted

"""What a foot says on one pedal, or a hand on one pad: pressed once, twice, three times, or held.

Both hands are busy, so one pedal must do. How often it went down is counted until it rests; a
press that lasts is told at once.
"""

from __future__ import annotations

HELD = 0
"""Told instead of a count."""
_REST = 0.6
"""Seconds without a press after which the count is over (our own choice)."""
_LONG = 1.0
"""Seconds of a press that is held (our own choice)."""


class Presses:
    """Counts. The moments may come late, but in order."""

    def __init__(self) -> None:
        self._count = 0
        self._down_since: float | None = None
        self._up_at = 0.0

    def came(self, moment: float, *, is_down: bool) -> None:
        """The pedal went down or up; one that says so twice did it once. A half-way pedal sends
        many."""
        if is_down and self._down_since is None:
            self._down_since = moment
            self._count += 1
        elif not is_down and self._down_since is not None:
            if self._count:
                self._count = -1 if moment - self._down_since >= _LONG else self._count
            self._down_since, self._up_at = None, moment

    def told(self, moment: float) -> int | None:
        """How often, HELD, or None as long as it is not over. Each is told once."""
        if self._down_since is not None:
            if self._count and moment - self._down_since >= _LONG:
                self._count = 0
                return HELD
            return None
        if self._count == -1:
            self._count = 0
            return HELD
        if self._count and moment - self._up_at >= _REST:
            count, self._count = self._count, 0
            return count
        return None

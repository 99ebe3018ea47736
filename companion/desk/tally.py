"""What was done since the last attempt was noted: how often through, how long, at what tempo.

Times through count for the tempo they ended at: eight at 60 and one at 80 are not nine
at 80. Time counts whatever the tempo was.
"""

from __future__ import annotations

import time
from collections.abc import Callable

from companion.desk.caution import A_REST
from companion.desk.setting import Setting


class Tally:
    """Counts while the player plays."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        """`clock` gives seconds that never run backwards."""
        self._clock = clock
        self._since: float | None = None
        self._rested_from = clock()
        self._seconds = 0.0
        self._unbroken = 0.0
        self._passes = 0
        self._counted_from = 0
        self.played: Setting | None = None

    def plays(self, setting: Setting, passes: int) -> None:
        """From now on this is heard; `passes` times through the track lie behind."""
        if self.played is None or self.played.tempo != setting.tempo:
            self._passes, self._counted_from = 0, passes
        self.played = setting
        if self._since is None:
            now = self._clock()
            if now - self._rested_from >= A_REST:
                self._unbroken = 0.0
            self._since = now

    def holds(self) -> None:
        """Nothing is heard for now."""
        if self._since is not None:
            now = self._clock()
            self._seconds += now - self._since
            self._unbroken += now - self._since
            self._since, self._rested_from = None, now

    def stops(self, passes: int) -> None:
        """Back to the beginning, where no time through lies behind."""
        self.holds()
        self._passes, self._counted_from = self.passes(passes), 0

    def skips(self, passes: int) -> None:
        """Bars are left out of the time through that is on: it will not count."""
        self._passes, self._counted_from = self.passes(passes), passes + 1

    def begins_anew(self, passes: int) -> None:
        """An attempt was noted: count from nothing. A rest is still owed."""
        self._passes, self._counted_from = 0, passes
        self._seconds -= self.seconds

    def passes(self, passes: int) -> int:
        """Times through at the tempo last played; `passes` lie behind on the track."""
        return self._passes + max(0, passes - self._counted_from)

    @property
    def seconds(self) -> float:
        """Seconds played."""
        return self._seconds + self._running

    @property
    def unbroken(self) -> float:
        """Seconds played since the last rest."""
        return self._unbroken + self._running

    @property
    def _running(self) -> float:
        return 0.0 if self._since is None else self._clock() - self._since

"""What was done since the last attempt was noted: how often through, how long, at what tempo.

Times through count for the tempo and the click they were played with from end to end: eight
at 60 and one at 80 are not nine at 80, and one whose last beat was at 80, or whose click was
taken away in it, was played at 60 with the click. Silences belong to the click; who plays
along does not change the count. Time counts whatever the tempo was.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from companion.click.plan.tempo_plan import Fixed
from companion.session.settings import Setting

REST_AFTER = 15 * 60
"""Seconds of unbroken playing after which a rest is suggested (common practice, no source)."""
A_REST = 60
"""Seconds of not playing that count as a rest (common practice, no source)."""
_NEVER = 1 << 40
"""A time through that does not come."""


@dataclass(frozen=True, slots=True)
class _EarlierSetting:
    """What was played before it was made harder in the middle of a time through."""

    setting: Setting
    times: int
    """Whole times through."""
    mixed: int
    """The number of the one in which it changed, _NEVER if it changed between two; it counts
    here once it is over."""

    def times_when(self, passes: int) -> int:
        return self.times + (passes > self.mixed)


class Tally:
    """Counts while the player plays."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        """`clock` gives seconds that never run backwards."""
        self._clock = clock
        # Time: since when it plays (None while paused), and what was played before that.
        self._since: float | None = None
        self._rested_from = clock()
        self._seconds = 0.0
        self._unbroken = 0.0
        # Times through: the track numbers them from its start. Those from `_counted_from` on
        # count for `played`; `_passes` counted for it already, before the track began again.
        self._passes = 0
        self._counted_from = 0
        self._earlier: _EarlierSetting | None = None
        self.played: Setting | None = None

    def plays(
        self, setting: Setting, passes: int, *, is_midway: bool = False, before: int | None = None
    ) -> None:
        """From now on this is heard; `passes` times through its track lie behind, and with
        `is_midway` a part of the next. `before` is how many lay behind on the track before, where
        it counted otherwise."""
        if self.played is None:
            self._passes, self._counted_from = 0, passes
        elif not _is_alike(self.played, setting):
            behind = passes if before is None else before
            is_harder = _is_harder(setting, self.played)
            # The time through that is on does not count for the new setting if it began
            # easier, or if it was already left out (bars were skipped in it).
            is_spoilt = is_midway and (is_harder or self._counted_from > behind)
            self._remember(self.played, behind, passes if is_spoilt else _NEVER, is_harder)
            self._passes, self._counted_from = 0, passes + is_spoilt
        self.played = setting
        if self._since is None:
            now = self._clock()
            if now - self._rested_from >= A_REST:
                self._unbroken = 0.0
            self._since = now

    def pauses(self) -> None:
        """Nothing is heard for now."""
        if self._since is not None:
            now = self._clock()
            self._seconds += now - self._since
            self._unbroken += now - self._since
            self._since, self._rested_from = None, now

    def stops(self, passes: int) -> None:
        """Back to the beginning, where no time through lies behind."""
        self.pauses()
        self._passes, self._counted_from = self.passes(passes), 0
        self._drop_unfinished(passes)

    def skips(self, passes: int) -> None:
        """Bars are left out of the time through that is on: it will not count."""
        self._passes, self._counted_from = self.passes(passes), passes + 1
        self._drop_unfinished(passes)

    def starts_again(self, passes: int) -> None:
        """An attempt was noted: count from nothing. A rest is still owed."""
        self._passes, self._counted_from = 0, passes
        self._earlier = None
        self._seconds -= self.seconds

    def passes(self, passes: int) -> int:
        """Times through as last played; `passes` lie behind on the track."""
        return self._passes + max(0, passes - self._counted_from)

    def went_through(self, passes: int) -> tuple[Setting, int] | None:
        """How it last went from end to end, and how often; None if it never did."""
        if self.played is not None and self.passes(passes):
            return self.played, self.passes(passes)
        if self._earlier is not None and self._earlier.times_when(passes):
            return self._earlier.setting, self._earlier.times_when(passes)
        return None

    def _remember(self, old: Setting, behind: int, mixed: int, is_harder: bool) -> None:
        """Keep what went through before it was made harder; an easier setting replaces it."""
        times, earlier = self.passes(behind), self._earlier
        if earlier is not None and not times and mixed != _NEVER:
            # A second change within one time through: what was in between never went from end
            # to end, so the first setting stays the one that did.
            done = earlier.times_when(behind)
            mixed = _NEVER if earlier.mixed < behind else mixed
            self._earlier = _EarlierSetting(earlier.setting, done, mixed)
        else:
            self._earlier = _EarlierSetting(old, times, mixed) if is_harder else None

    def _drop_unfinished(self, passes: int) -> None:
        """The time through that is on will not come to its end."""
        if self._earlier is not None:
            times = self._earlier.times_when(passes)
            self._earlier = _EarlierSetting(self._earlier.setting, times, _NEVER)

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


def _is_alike(one: Setting, other: Setting) -> bool:
    return (one.tempo, set(one.layers), set(one.silences)) == (
        other.tempo,
        set(other.layers),
        set(other.silences),
    )


def _is_harder(new: Setting, old: Setting) -> bool:
    """Whether a time through begun with `old` may not count as one with `new`: it is faster,
    a layer of the click was taken away, or a silence came. Tempos of other kinds cannot be
    compared."""
    if set(old.layers) - set(new.layers) or set(new.silences) - set(old.silences):
        return True
    if isinstance(new.tempo, Fixed) and isinstance(old.tempo, Fixed):
        return new.tempo.bpm > old.tempo.bpm
    return new.tempo != old.tempo

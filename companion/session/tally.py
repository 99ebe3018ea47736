"""What was played and not rated yet, in stretches of one setting: how often through, how long.

Times through and time belong to the setting they were played at: eight at 60 and one at 80 are
two stretches, not nine times at 80. A time through counts where it was from end to end: one
whose last beat was at 80, or whose click was taken away in it, was played at 60 with the click.
Silences belong to the click; who plays along does not begin another stretch. What was over in
a moment, while one looked for a tempo, belongs to what came after it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction

from companion.click.plan.tempo_plan import Fixed
from companion.practice.attempt import new_id, now
from companion.session.settings import Setting

REST_AFTER = 15 * 60
"""Seconds of unbroken playing after which a rest is suggested (common practice, no source)."""
A_REST = 60
"""Seconds of not playing that count as a rest (common practice, no source)."""
A_MOMENT = 10
"""Seconds under which what was not played through is no stretch of its own (our own choice)."""
_NEVER = 1 << 40
"""A time through that does not come."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was played in one setting."""

    id: str
    """The attempt in the log that it becomes (UUID version 4)."""
    setting: Setting
    tempo: Fraction
    """Felt beats a minute of the last time through, where they change in it."""
    times: int
    """Whole times through."""
    seconds: float
    """Played."""
    ended: datetime
    """When it was last heard."""
    mixed: int = _NEVER
    """The number of the time through in which it was made harder; it counts here once it is
    over. _NEVER if it was changed between two."""

    @property
    def is_a_moment(self) -> bool:
        """Whether it is too short to be asked about."""
        return not self.times and self.seconds < A_MOMENT


TempoOf = Callable[[int, int], Fraction]
"""Felt beats a minute after so many times through a track, of which so many count."""


def _tempo_now(setting: Setting) -> TempoOf:
    return lambda *_: setting.tempo.bpm if isinstance(setting.tempo, Fixed) else Fraction(1)


class Tally:
    """Counts while the player plays."""

    def __init__(
        self, clock: Callable[[], float] = time.monotonic, moment: Callable[[], datetime] = now
    ) -> None:
        """`clock` gives seconds that never run backwards, `moment` the time of day."""
        self._clock, self._moment = clock, moment
        # Time: since when it plays (None while paused), and what was played before that.
        self._since: float | None = None
        self._rested_from = clock()
        self._ended = moment()
        self._seconds = 0.0
        self._unbroken = 0.0
        # Times through: the track numbers them from its start. Those from `_counted_from` on
        # count for `played`; `_passes` counted for it already, before the track began again.
        self._passes = 0
        self._counted_from = 0
        self._id = new_id()
        self._earlier: list[Stretch] = []
        self.played: Setting | None = None
        self._tempo_of: TempoOf = lambda *_: Fraction(1)

    def plays(
        self,
        setting: Setting,
        passes: int,
        *,
        is_midway: bool = False,
        before: int | None = None,
        tempo_of: TempoOf | None = None,
    ) -> None:
        """From now on this is heard; `passes` times through its track lie behind, and with
        `is_midway` a part of the next. `before` is how many lay behind on the track before, where
        it counted otherwise. `tempo_of` is needed where the tempo changes in it."""
        if self.played is None:
            self._passes, self._counted_from = 0, passes
        elif not _is_alike(self.played, setting):
            behind = passes if before is None else before
            self._change(self.played, setting, behind, passes, is_midway=is_midway)
        self.played = setting
        self._tempo_of = tempo_of or _tempo_now(setting)
        if self._since is None:
            now_ = self._clock()
            if now_ - self._rested_from >= A_REST:
                self._unbroken = 0.0
            self._since = now_

    def pauses(self) -> None:
        """Nothing is heard for now."""
        if self._since is not None:
            now_ = self._clock()
            self._seconds += now_ - self._since
            self._unbroken += now_ - self._since
            self._since, self._rested_from = None, now_
            self._ended = self._moment()

    def stops(self, passes: int) -> None:
        """Back to the beginning, where no time through lies behind."""
        self.pauses()
        self._passes, self._counted_from = self.passes(passes), 0
        self._earlier = self._settled(passes)

    def skips(self, passes: int) -> None:
        """Bars are left out of the time through that is on: it will not count."""
        self._passes, self._counted_from = self.passes(passes), passes + 1
        self._earlier = self._settled(passes)

    def starts_again(self, passes: int) -> None:
        """Nothing of what was played is to be noted: count from nothing. A rest is still owed."""
        self._earlier = []
        self._begin(passes)

    def noted(self, stretch: Stretch, passes: int) -> None:
        """A stretch is in the log; the one that is on counts from nothing."""
        if stretch.id == self._id:
            self._begin(passes)
        self._earlier = [one for one in self._earlier if one.id != stretch.id]

    def passes(self, passes: int) -> int:
        """Times through as last played; `passes` lie behind on the track."""
        return self._passes + max(0, passes - self._counted_from)

    def stretches(self, passes: int) -> list[Stretch]:
        """What was played and not noted, the latest first; what is on only if it was heard."""
        found = [_over(one, passes) for one in reversed(self._earlier)]
        if self.played is not None and self.seconds:
            found.insert(0, self._now_on(self.played, passes))
        return found

    def _now_on(self, played: Setting, passes: int) -> Stretch:
        ended = self._ended if self._since is None else self._moment()
        times = self.passes(passes)
        tempo = self._tempo_of(passes, times)
        return Stretch(self._id, played, tempo, times, self.seconds, ended)

    def _begin(self, passes: int) -> None:
        self._id = new_id()
        self._passes, self._counted_from = 0, passes
        self._seconds -= self.seconds

    def _change(
        self, old: Setting, new: Setting, behind: int, passes: int, *, is_midway: bool
    ) -> None:
        """Close the stretch of the old setting and begin one of the new, or go on with the one
        before if this was it."""
        is_harder = _is_harder(new, old)
        is_left_out = self._counted_from > behind
        earlier = [
            # The time through that is on is numbered anew with its track.
            replace(one, mixed=passes) if one.mixed != _NEVER and is_midway else one
            for one in (_over(one, behind) for one in self._earlier)
        ]
        closed = self._now_on(old, behind)
        # What was noted in the middle of a time through is not told twice.
        if closed.seconds and is_midway and is_harder and not is_left_out:
            closed = replace(closed, mixed=passes)
        self._earlier = earlier
        if not closed.is_a_moment or closed.mixed != _NEVER:
            self._earlier.append(closed)
            self._begin(passes)
        back = self._earlier[-1] if self._earlier else None
        if back is not None and back is not closed and _is_alike(back.setting, new):
            self._go_on_with(self._earlier.pop(), passes, is_midway and is_left_out)
            return
        # The time through that is on does not count for the new setting if it began easier, or
        # if it was already left out (bars were skipped in it).
        self._passes, self._counted_from = 0, passes + (is_midway and (is_harder or is_left_out))

    def _go_on_with(self, back: Stretch, passes: int, is_left_out: bool) -> None:
        """As if it had not been left for a moment: its own time through may still be on."""
        is_left_out = is_left_out and back.mixed == _NEVER
        self._id, self._passes, self._counted_from = back.id, back.times, passes + is_left_out
        self._seconds += back.seconds

    def _settled(self, passes: int) -> list[Stretch]:
        """The earlier ones; the time through that is on will not come to its end."""
        settled = [replace(_over(one, passes), mixed=_NEVER) for one in self._earlier]
        self._seconds += sum(one.seconds for one in settled if one.is_a_moment)
        return [one for one in settled if not one.is_a_moment]

    @property
    def seconds(self) -> float:
        """Seconds played in this setting."""
        return self._seconds + self._running

    @property
    def unbroken(self) -> float:
        """Seconds played since the last rest."""
        return self._unbroken + self._running

    @property
    def _running(self) -> float:
        return 0.0 if self._since is None else self._clock() - self._since


def _over(one: Stretch, passes: int) -> Stretch:
    """With the time through in which it was changed, if that is over by now."""
    return replace(one, times=one.times + 1, mixed=_NEVER) if passes > one.mixed else one


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

"""A passage going round: what is wanted, what sounds, where it is, and going elsewhere in it.

What is wanted is kept apart from what sounds, because making the sound of a long passage
takes a while and may happen in another thread:

    drill.request(faster); track = drill.render()   # in any thread
    drill.load(track)                          # where the drill lives; the music stays in place

Where we are is always asked of the player, never counted along.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from companion.practice.attempt import now
from companion.score.passage import Passage
from companion.session.accompaniment import Others
from companion.session.open_score import OpenScore
from companion.session.settings import Setting
from companion.session.tally import REST_AFTER, Tally
from companion.session.track import (
    Position,
    Track,
    bars_away,
    position_of,
    render_track,
    tempo_after,
)
from companion.session.transport import Transport

if TYPE_CHECKING:
    from companion.sound.player import Player, PlayerState


class Playback:
    """One passage with its setting, sound and tally. Close it."""

    def __init__(
        self,
        open_score: OpenScore,
        passage: Passage,
        setting: Setting,
        player: Player,
        *,
        notice: str = "",
        clock: Callable[[], float] = time.monotonic,
        moment: Callable[[], datetime] = now,
    ) -> None:
        """`notice` says why there is silence where the player itself does not know."""
        self.open_score = open_score
        self.passage = passage
        self.setting = setting
        self.transport = Transport(player, notice)
        self.tally = Tally(clock, moment)
        self._others = Others(passage)

    def request(self, setting: Setting) -> None:
        """Ask for another setting, made by `setting_changes`; `render` makes its sound."""
        self.setting = setting

    def render(self) -> Track:
        """Make the sound of what is wanted now; may be called in any thread.

        Raises RequestError for what nobody can play to.
        """
        return render_track(
            self.passage,
            self.open_score.conflicts,
            self.setting,
            self.transport.rate,
            others=self._others,
            before=self.transport.track,
        )

    def load(self, track: Track) -> bool:
        """Go on with a track at the same place in the music; the first one waits for `start`.

        False, and nothing happens, where something else is wanted by now.
        """
        if track.setting != self.setting:
            return False
        self.transport.load(track)
        if self.state == "playing":
            self._tell_tally(track)
        return True

    def keep_what_sounds(self) -> None:
        """Want no longer what cannot be had: back to what was loaded last."""
        if self.transport.track is not None:
            self.setting = self.transport.track.setting

    def start(self) -> None:
        """Begin with the count-in, or go on after a pause."""
        track = self.transport.track
        if track is None or track.setting != self.setting:
            track = self.render()
            self.transport.load(track)
        is_new = self.state == "idle"
        self.transport.start()
        self._tell_tally(track)
        if is_new and track.entry is not None:
            self.tally.skips(0)

    def again(self) -> None:
        """Begin again at the bar that is on, counted in."""
        position = self.position()
        bar = position.bar if position else self.setting.first or self.passage.first
        self.setting = replace(self._begun_at(bar), count_in=max(1, self.setting.count_in))
        track = self.render()
        self.tally.stops(self.passes_behind)
        self.transport.start_track(track)
        self._tell_tally(track)
        if track.entry is not None:
            self.tally.skips(0)

    def seek(self, by: int) -> None:
        """So many bars on, or back if negative; while nothing is on, begin there next time."""
        position = self.position()
        if position is None:
            bar = (self.setting.first or self.passage.first) + by
            self.setting = self._begun_at(min(max(bar, self.passage.first), self.passage.last))
            return
        there = bars_away(position, self.passage, by)
        self.setting = replace(self.setting, first=None)
        self.transport.go_to(there)
        if (there.passes, there.into) > (position.place.passes, position.place.into):
            self.tally.skips(position.place.passes)

    def pause(self) -> None:
        """Hold where we are."""
        self.transport.pause()
        self.tally.pauses()

    def stop(self) -> None:
        """Back to the beginning."""
        self.tally.stops(self.passes_behind)
        self.transport.stop()
        self.setting = replace(self.setting, first=None)

    def release_player(self) -> None:
        """Give the sound card away; `take_player` brings one back, and the next start is at
        the bar where we were."""
        position = self.position()
        self.stop()
        if position is not None:
            self.setting = self._begun_at(position.bar)
        self.transport.close()

    def take_player(self, player: Player, notice: str) -> None:
        """Play on another player from now on."""
        self.transport.take(player, notice)

    def close(self) -> None:
        """Let go of the sound card. May be called twice."""
        self.tally.pauses()
        self.transport.close()

    @property
    def state(self) -> PlayerState:
        """What is going on, as far as it can be heard."""
        return self.transport.state

    @property
    def passes_behind(self) -> int:
        """Times through the track that lie behind."""
        heard = self.transport.coming_place()
        return heard.passes if heard else 0

    @property
    def passes(self) -> int:
        """Times through in this setting, since the last attempt was noted."""
        return self.tally.passes(self.passes_behind)

    @property
    def has_gone_through(self) -> bool:
        """Whether it was played from end to end since the last attempt was noted."""
        return any(stretch.times for stretch in self.tally.stretches(self.passes_behind))

    @property
    def seconds(self) -> float:
        """Seconds played in this setting, since the last attempt was noted."""
        return self.tally.seconds

    @property
    def is_long_without_rest(self) -> bool:
        """Whether a rest would be due."""
        return self.tally.unbroken >= REST_AFTER

    def position(self) -> Position | None:
        """What is heard now; None while nothing is on."""
        heard = self.transport.hearing()
        return position_of(*heard, self.passage) if heard else None

    def _tell_tally(self, track: Track) -> None:
        heard, coming = self.transport.place(), self.transport.coming_place()
        self.tally.plays(
            track.setting,
            coming.passes if coming else 0,
            is_midway=coming is not None and coming.into > 0,
            before=heard.passes if heard else 0,
            tempo_of=partial(tempo_after, track.plan, self.passage),
        )

    def _begun_at(self, bar: int) -> Setting:
        return replace(self.setting, first=None if bar == self.passage.first else bar)

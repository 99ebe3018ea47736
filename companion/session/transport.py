"""The player with the tracks on it: what sounds, where it is, and what to do when it fails.

After a change of tempo the old track is heard a moment longer, so a frame means nothing
without its track. And a sound card may die in the middle of a bar: practice then goes on
in silence from the same place, because the beat is on the screen too.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from companion.session.track import (
    DrillPlace,
    Track,
    carried_place,
    carry_frame,
    frame_of,
    from_the_start,
    place_of,
)
from companion.sound.sound_error import SoundError

if TYPE_CHECKING:
    from companion.sound.player import Player, PlayerState

MOVED: frozenset[PlayerState] = frozenset({"playing", "paused"})
"""The states in which another track or place can be gone on with."""
TRACKS_KEPT = 4
"""More than can be on their way to the ear at once."""


class Transport:
    """Plays one track after another without a gap. Commands come from one thread."""

    def __init__(self, player: Player, notice: str = "") -> None:
        self.notice = notice or player.notice
        self._player = player
        self._tracks: tuple[Track, ...] = ()
        self._is_paused = False

    @property
    def rate(self) -> int:
        """Frames a second that a track must have."""
        return self._player.rate

    @property
    def state(self) -> PlayerState:
        """What is going on, as far as it can be heard."""
        return self._player.state

    @property
    def track(self) -> Track | None:
        """What was loaded last."""
        return self._tracks[-1] if self._tracks else None

    def load(self, track: Track) -> None:
        """Go on with a track at the same place in the music; in silence it waits for `start`."""
        if self.track is not None and self.state in MOVED:
            self._swap(track, carry_frame(self.track, track))
        else:
            self._tracks = (track,)

    def go_to(self, place: DrillPlace) -> None:
        """Go on from another place of the music; nothing happens unless something is on."""
        if self.track is not None and self.state in MOVED:
            track = from_the_start(self.track)
            there = frame_of(track, place)
            self._swap(track, lambda _: there)

    def start_track(self, track: Track) -> None:
        """Play a track from its beginning, whatever was on."""
        self._is_paused = False
        self._tracks = (*self._tracks[1 - TRACKS_KEPT :], track)
        self._begin(track, 0)

    def start(self) -> None:
        """Play the track from its beginning, or go on where it was paused."""
        self._is_paused = False
        if self.state == "paused":
            self._player.resume()
        elif self.state == "idle" and self.track is not None:
            self._begin(self.track, 0)

    def pause(self) -> None:
        """Stay where we are."""
        self._is_paused = True
        self._player.pause()

    def stop(self) -> None:
        """Back to the beginning."""
        self._player.stop()

    def close(self) -> None:
        """Let go of the sound card. May be called twice."""
        self._player.close()

    def take(self, player: Player, notice: str) -> None:
        """Play on another player from now on; it waits for `start`."""
        self._player.close()
        self._player, self.notice = player, notice

    def place(self) -> DrillPlace | None:
        """What is heard now; None while nothing is on."""
        heard = self.hearing()
        return place_of(*heard) if heard else None

    def coming_place(self) -> DrillPlace | None:
        """What is heard now, as a place of the track that was loaded last."""
        heard = self.hearing()
        if heard is None or self.track is None:
            return None
        old, frame = heard
        return carried_place(old, self.track, place_of(old, frame))

    def hearing(self) -> tuple[Track, int] | None:
        """The track that is heard now and its frame; None while nothing is on."""
        source, frame = self._player.hearing()
        for track in self._tracks:
            if track.source is source:
                return track, frame
        return None

    def keep_going(self) -> bool:
        """Whether the sound had failed; then silence goes on from there, with a notice."""
        if self.state != "failed" or self.track is None:
            return False
        track, frame = self.hearing() or (self.track, 0)
        self._go_on_in_silence(self._player.failure, track, frame)
        return True

    def _swap(self, track: Track, carried: Callable[[int], int]) -> None:
        self._player.swap(track.source, carried)
        if all(track is not kept for kept in self._tracks):
            self._tracks = (*self._tracks[1 - TRACKS_KEPT :], track)

    def _begin(self, track: Track, frame: int) -> None:
        try:
            self._player.start(track.source, frame)
        except SoundError as fault:
            self._go_on_in_silence(fault.sentence(), track, frame)

    def _go_on_in_silence(self, failure: str, track: Track, frame: int) -> None:
        from companion.sound.player import open_player

        self._player.close()
        self._player = open_player("silent", rate=track.source.rate)
        self.notice = f"{failure} The beat goes on here, in silence."
        self._player.start(track.source, frame)
        if self._is_paused:
            self._player.pause()

"""A drill: a passage going round at a tempo, and the attempt that comes of it.

What is wanted (tempo, layers, count-in) is kept apart from what sounds, because making
the sound of a long passage takes a while and may happen in another thread:

    drill.faster(1); track = drill.record()   # in any thread
    drill.put_on(track)                       # where the drill lives; the music stays in place

Where we are is always asked of the player, never counted along. An attempt is on disk
before it is handed back.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from companion.click.layers import DEFAULT, Layer, in_order
from companion.desk.attempts import note_attempt
from companion.desk.beat_count import CountedBeat, beat_at
from companion.desk.caution import (
    BEFORE_THE_FIRST_SOUND,
    REST_AFTER,
    caution_is_due,
    caution_was_told,
)
from companion.desk.folders import Folders
from companion.desk.stand import Stand
from companion.desk.starting_tempo import starting_tempo
from companion.desk.tally import Tally
from companion.desk.track import Place, Setting, Track, place_of, record
from companion.desk.turntable import Turntable, any_player
from companion.errors import RequestError
from companion.practice.attempt import Attempt
from companion.practice.outcome import Outcome
from companion.rhythm.meter import note_name
from companion.rhythm.tempo import FASTEST, SLOWEST
from companion.score.address import span_name
from companion.score.passage import Passage

if TYPE_CHECKING:
    from companion.sound.player import Player, State

MOST_COUNT_IN = 2
"""Bars of count-in that can be chosen in a drill."""


@dataclass(frozen=True, slots=True)
class Position:
    """What is heard now."""

    place: Place
    """Where in the drill."""
    time: Fraction | None
    """Clock time in the score; None in the count-in."""
    beat: CountedBeat | None
    """The beat that is on; None where a passage begins between beats."""


class Drill:
    """One passage with its tempo, sound and tally. Close it."""

    def __init__(
        self,
        stand: Stand,
        passage: Passage,
        folders: Folders,
        player: Player,
        *,
        notice: str = "",
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """`notice` says why there is silence where the player itself does not know."""
        begin = starting_tempo(passage, stand.digest, folders)
        self.stand = stand
        self.passage = passage
        self.setting = Setting(begin.bpm, DEFAULT, count_in=1)
        self.tempo_because = begin.because
        self.trouble = begin.trouble
        self.caution = BEFORE_THE_FIRST_SOUND if caution_is_due(folders) else ""
        self._folders = folders
        self._table = Turntable(player, notice)
        self._tally = Tally(clock)

    def faster(self, by: int) -> None:
        """Want so many beats a minute more, or fewer if negative, within 10–400."""
        bpm = min(max(self.setting.bpm + by, Fraction(SLOWEST)), Fraction(FASTEST))
        self.setting = replace(self.setting, bpm=bpm)
        self.tempo_because = ""

    def set_layers(self, layers: Iterable[Layer]) -> None:
        """Want these layers. Raises RequestError for none."""
        chosen = in_order(layers)
        if not chosen:
            raise RequestError("one layer must stay on", next="Turn another one on first.")
        self.setting = replace(self.setting, layers=chosen)

    def toggle(self, layer: Layer) -> None:
        """Want a layer that is off, or no longer one that is on. Raises as `set_layers`."""
        self.set_layers(set(self.setting.layers) ^ {layer})

    def next_count_in(self) -> None:
        """Want a bar more of count-in, and none after two, from the next start on."""
        bars = (self.setting.count_in + 1) % (MOST_COUNT_IN + 1)
        self.setting = replace(self.setting, count_in=bars)

    def record(self) -> Track:
        """Make the sound of what is wanted now; may be called in any thread."""
        return record(self.passage, self.stand.conflicts, self.setting, self._table.rate)

    def put_on(self, track: Track) -> bool:
        """Go on with a track at the same place in the music; the first one waits for `start`.

        False, and nothing happens, where something else is wanted by now.
        """
        if track.setting != self.setting:
            return False
        self._table.put_on(track)
        if self.state == "playing":
            self._tally.plays(track.setting, self._passes_behind())
        return True

    def keep_what_sounds(self) -> None:
        """Want no longer what cannot be had: back to what was put on last."""
        if self._table.track is not None:
            self.setting = self._table.track.setting

    def start(self) -> None:
        """Begin with the count-in, or go on after a pause."""
        track = self._table.track
        if track is None or track.setting != self.setting:
            track = self.record()
            self._table.put_on(track)
        self._table.start()
        self._tally.plays(track.setting, self._passes_behind())
        caution_was_told(self._folders)

    def pause(self) -> None:
        """Hold where we are."""
        self._table.hold()
        self._tally.holds()

    def stop(self) -> None:
        """Back to the beginning."""
        self._tally.stops(self._passes_behind())
        self._table.stop()

    def close(self) -> None:
        """Let go of the sound card. May be called twice."""
        self._tally.holds()
        self._table.close()

    def keep_going(self) -> bool:
        """Whether the sound had failed; practice then goes on in silence, with a notice."""
        return self._table.keep_going()

    @property
    def state(self) -> State:
        """What is going on, as far as it can be heard."""
        return self._table.state

    @property
    def notice(self) -> str:
        """Why there is silence instead of sound; empty when there is nothing to say."""
        return self._table.notice

    @property
    def tempo_told(self) -> str:
        """The tempo that is wanted, with its beat: `dotted quarter = 60`."""
        return told_tempo(self.setting.bpm, self.passage)

    @property
    def passes(self) -> int:
        """Times through at the tempo last played, since the last attempt was noted."""
        return self._tally.passes(self._passes_behind())

    @property
    def seconds(self) -> float:
        """Seconds played since the last attempt was noted."""
        return self._tally.seconds

    @property
    def is_long_without_rest(self) -> bool:
        """Whether a rest would be due."""
        return self._tally.unbroken >= REST_AFTER

    def position(self) -> Position | None:
        """What is heard now; None while nothing is on."""
        heard = self._table.hearing()
        if heard is None:
            return None
        place = place_of(*heard)
        now = self.passage.start + place.into if place.into >= 0 else None
        return Position(place, now, beat_at(heard[0].counted, place.into))

    def attempt(self, outcome: Outcome, note: str = "") -> Attempt:
        """How it went, at the tempo last played; on disk when this returns.

        Counting begins anew afterwards. Raises CompanionError where it could not be kept,
        and then nothing is forgotten.
        """
        if self._tally.played is None:
            raise RequestError("nothing was played yet", next="Start the drill first.")
        attempt = _attempt(self, self._tally.played, outcome, note)
        note_attempt(self._folders, attempt)
        self._tally.begins_anew(self._passes_behind())
        return attempt

    def _passes_behind(self) -> int:
        place = self._table.place()
        return place.passes if place else 0


def open_drill(stand: Stand, passage: Passage, folders: Folders) -> Drill:
    """A drill with whichever player there is. May be called in any thread."""
    player, notice = any_player()
    return Drill(stand, passage, folders, player, notice=notice)


def told_tempo(bpm: Fraction, passage: Passage) -> str:
    """`dotted quarter = 60`."""
    return f"{note_name(passage.beat)} = {float(bpm):g}"


def _attempt(drill: Drill, played: Setting, outcome: Outcome, note: str) -> Attempt:
    stand, passage = drill.stand, drill.passage
    return Attempt(
        score_title=stand.score.title,
        score_digest=stand.digest,
        score_path=str(stand.path),
        part_id=passage.part_id,
        part_name=passage.part_name,
        first_bar=passage.first,
        last_bar=passage.last,
        bars_label=span_name(passage.clock, passage.first, passage.last),
        tempo=played.bpm,
        beat=note_name(passage.beat),
        outcome=outcome,
        layers=tuple(layer.value for layer in played.layers),
        repetitions=drill.passes,
        seconds=drill.seconds,
        note=note,
    )

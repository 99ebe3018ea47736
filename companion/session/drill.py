"""A drill: a passage going round at a tempo, and the attempt that comes of it.

It begins at the tempo a player left off at, tells its caution once, climbs its ladder by
what the player says of each attempt, and has every attempt on disk before it is handed
back.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from companion.click.plan.tempo_plan import Fixed, Ladder, Ramp
from companion.click.words.layer_words import silences_in_words
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.files.whole_file import make_own_folder
from companion.journal.unsaved_attempts import UnsavedAttempts, note_or_keep_unsaved
from companion.practice.attempt import Attempt, Heard, Outcome
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage
from companion.session.accompaniment import usual_accompaniment, who_plays
from companion.session.drum_module import drums_for
from companion.session.open_score import OpenScore
from companion.session.playback import Playback
from companion.session.setting_changes import at_tempo, on_ladder, setting_after
from companion.session.settings import Setting
from companion.session.starting_tempo import TempoSource, starting_tempo
from companion.session.track import DrillPlace, bpm_at
from companion.sound.device_choice import SoundChoice, player_for, sound_choice

if TYPE_CHECKING:
    from companion.sound.midi_out import MidiOut
    from companion.sound.player import Player

_FINE = 100
"""The largest denominator of a tempo that is noted where it changes all the while."""


class Drill(Playback):
    """One passage to be practised and noted. Close it."""

    def __init__(
        self,
        open_score: OpenScore,
        passage: Passage,
        folders: Folders,
        player: Player,
        *,
        notice: str = "",
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """`notice` says why there is silence where the player itself does not know."""
        begin = starting_tempo(passage, open_score.digest, folders)
        setting = Setting(Fixed(begin.bpm), accompaniment=usual_accompaniment(folders))
        super().__init__(open_score, passage, setting, player, notice=notice, clock=clock)
        self.log_error = begin.log_error
        self.is_caution_due = not _caution_told(folders).exists()
        """Whether nobody was told yet, in this data folder, how to go about sound."""
        self._begin = begin
        self._folders = folders
        self.unsaved: UnsavedAttempts | None = None
        """What the log could not take yet; None if all is on disk."""
        self._drums: MidiOut | None = None
        self._why_no_drums = ""

    def start(self) -> None:
        """Begin with the count-in, or go on after a pause; the caution counts as told."""
        super().start()
        _remember_caution(self._folders)

    def again(self) -> None:
        """Begin again at the bar that is on, counted in; the caution counts as told."""
        super().again()
        _remember_caution(self._folders)

    def drum_on(self, choice: SoundChoice) -> None:
        """Send the click to the chosen MIDI port too, where there is one."""
        self._drums, self._why_no_drums = drums_for(choice, self.transport, self.passage)
        if self._drums is not None:
            self._drums.begin()

    def forget_what_was_played(self) -> None:
        """Count from nothing, as after an attempt: what was played is not to be noted."""
        self.tally.starts_again(self.passes_behind)

    def close(self) -> None:
        """Let go of the sound card and the MIDI port. May be called twice."""
        if self._drums is not None:
            self._drums.close()
        super().close()

    def keep_going(self) -> bool:
        """Whether the sound or the MIDI port had failed just now; practice goes on without, and
        the notice says so."""
        fault = "" if self._drums is None else self._drums.failure
        has_lost_drums = bool(fault) and fault != self._why_no_drums
        if has_lost_drums:
            self._why_no_drums = fault
        return self.transport.keep_going() or has_lost_drums

    @property
    def notice(self) -> str:
        """What is not as it was chosen; empty when there is nothing to say."""
        return " ".join(told for told in (self.transport.notice, self._why_no_drums) if told)

    @property
    def tempo_source(self) -> TempoSource | None:
        """Why the drill began at this tempo; None once another one is wanted."""
        is_first = self.setting.tempo == Fixed(self._begin.bpm) and self.setting.ladder is None
        return self._begin.source if is_first else None

    @property
    def bpm(self) -> Fraction:
        """Felt beats a minute where we are; before a start, those it begins with."""
        if isinstance(self.setting.tempo, Fixed):
            return self.setting.tempo.bpm
        track = self.transport.track
        if track is None:
            return self._begin.bpm
        place = self.transport.place() or DrillPlace(0, Fraction(0))
        return bpm_at(track.plan, self.passage, place).limit_denominator(_FINE)

    def so_far(self) -> Attempt | None:
        """What was played since the last attempt, rated at its worst until somebody says; None
        if nothing was."""
        if self.tally.played is None or self.seconds < 1:
            return None
        return _attempt(self, self.tally.played, self.passes, Outcome.FELL_APART, "")

    def attempt(self, outcome: Outcome, note: str = "", heard: Heard | None = None) -> Attempt:
        """How it went; on disk when this returns, or waiting. What held is noted as it was last
        played from end to end, anything else as it was played last. `heard` is kept beside it.

        Counting begins again afterwards, and a ladder moves, upwards only where its step was
        played from end to end: what is wanted then is another tempo. Where the disk refuses, the
        attempt waits and is tried again, and `unsaved` says so.
        """
        if self.tally.played is None:
            raise RequestError("nothing was played yet", next="Start the drill first.")
        played, times = self.tally.played, self.passes
        if outcome >= Outcome.HELD:
            played, times = self.tally.went_through(self.passes_behind) or (played, times)
        attempt = replace(_attempt(self, played, times, outcome, note), heard=heard)
        self.unsaved = note_or_keep_unsaved(self._folders, attempt)
        self.tally.starts_again(self.passes_behind)
        has_held = outcome >= Outcome.HELD
        if not has_held or (times and played.tempo == self.setting.tempo):
            self.request(setting_after(self.setting, outcome))
        return attempt


def open_drill(open_score: OpenScore, passage: Passage, folders: Folders) -> Drill:
    """A drill with whichever player there is. May be called in any thread."""
    choice = sound_choice(folders)
    player, notice = player_for(choice)
    drill = Drill(open_score, passage, folders, player, notice=notice)
    drill.drum_on(choice)
    return drill


def _caution_told(folders: Folders) -> Path:
    """The file that is there once a player was told."""
    return folders.data / "caution-told"


def _remember_caution(folders: Folders) -> None:
    """If the folder cannot be written to, it is told again."""
    with suppress(OSError):
        make_own_folder(folders.data)
        _caution_told(folders).touch()


def drill_at(
    open_score: OpenScore, chosen: Passage, folders: Folders, tempo: Fraction | Ladder
) -> Drill:
    """A drill that begins at the tempo of the plan, or climbs its ladder. May be called in any
    thread."""
    drill = open_drill(open_score, chosen, folders)
    if isinstance(tempo, Ladder):
        drill.request(on_ladder(drill.setting, tempo))
    else:
        drill.request(at_tempo(drill.setting, tempo))
    return drill


def _bpm_noted(drill: Drill, played: Setting, times: int) -> Fraction:
    """Felt beats a minute of a time through: of the last whole one where the tempo changes."""
    if isinstance(played.tempo, Fixed):
        return played.tempo.bpm
    track, behind = drill.transport.track, drill.passes_behind
    if track is None or not times or not behind:
        return drill.bpm
    begun = bpm_at(track.plan, drill.passage, DrillPlace(behind - 1, Fraction(0)))
    if isinstance(played.tempo, Ramp):  # it may slow down: then the next begins slower
        begun = min(begun, bpm_at(track.plan, drill.passage, DrillPlace(behind, Fraction(0))))
    return begun.limit_denominator(_FINE)


def _attempt(drill: Drill, played: Setting, times: int, outcome: Outcome, note: str) -> Attempt:
    open_score, passage = drill.open_score, drill.passage
    return Attempt(
        score_title=open_score.score.title,
        score_digest=open_score.digest,
        score_path=str(open_score.path),
        part_id=passage.part_id,
        part_name=passage.part_name,
        first_bar=passage.first,
        last_bar=passage.last,
        bars_label=span_name(passage.clock, passage.first, passage.last),
        tempo=_bpm_noted(drill, played, times),
        beat=note_name(passage.beat),
        outcome=outcome,
        layers=tuple(layer.value for layer in played.layers),
        silences=silences_in_words(played.silences) if played.silences else "",
        accompaniment=who_plays(played.accompaniment, open_score.score)
        if played.are_others_on
        else (),
        repetitions=times,
        seconds=drill.seconds,
        note=note,
    )

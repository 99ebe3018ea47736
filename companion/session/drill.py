"""A drill: a passage going round at a tempo, and the attempts that come of it.

It begins at the tempo a player left off at, tells its caution once, climbs its ladder by
what the player says of each attempt, and has every attempt on disk before it is handed
back. Another tempo, plan or click begins another attempt without a question; how each went is
asked when the player says so, the latest first.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from os.path import exists
from pathlib import Path
from typing import TYPE_CHECKING

from companion.click.plan.tempo_plan import Fixed, Ladder
from companion.click.words.layer_words import silences_in_words
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.files.whole_file import make_own_folder
from companion.journal.unsaved_attempts import UnsavedAttempts, note_or_keep_unsaved
from companion.practice.attempt import Attempt, Heard, Outcome, now
from companion.practice.bounds import LONGEST
from companion.rhythm.meter import note_name
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage
from companion.session.accompaniment import usual_accompaniment, who_plays
from companion.session.drum_module import drums_for
from companion.session.ladder_left import as_left, keep_ladder, ladder_left
from companion.session.open_score import OpenScore
from companion.session.playback import Playback
from companion.session.setting_changes import at_tempo, on_ladder, setting_after
from companion.session.settings import Setting
from companion.session.starting_tempo import TempoSource, starting_tempo
from companion.session.suggested_passages import bars_of_passage
from companion.session.tally import Stretch
from companion.session.track import FINE, DrillPlace, bpm_at
from companion.sound.device_choice import SoundChoice, player_for, sound_choice

if TYPE_CHECKING:
    from companion.sound.midi_out import MidiOut
    from companion.sound.player import Player


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
        moment: Callable[[], datetime] = now,
    ) -> None:
        """`notice` says why there is silence where the player itself does not know; `moment` is
        the time of day."""
        begin = starting_tempo(passage, open_score.digest, folders)
        setting = Setting(Fixed(begin.bpm), accompaniment=usual_accompaniment(folders))
        super().__init__(
            open_score, passage, setting, player, notice=notice, clock=clock, moment=moment
        )
        self.log_error = begin.log_error
        self.is_caution_due = not exists(_caution_told(folders))
        """Whether nobody was told yet, in this data folder, how to go about sound."""
        self._begin = begin
        self._bars = bars_of_passage(open_score, passage)
        self.ladder_left = ladder_left(setting, self._bars, note_name(passage.beat), folders)
        """What was climbed here last and not finished."""
        self._folders, self._moment = folders, moment
        self._before: list[Setting] = []
        self._was_step = False
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

    def change(self, setting: Setting, *, is_step: bool = False) -> None:
        """Ask for another setting, which can be undone; steps of tempo in a row all at once."""
        if not (is_step and self._was_step):
            self._before.append(self.setting)
        self._was_step = is_step
        self.request(setting)

    def climb(self, ladder: Ladder, *, is_for_today: bool = False) -> None:
        """Go on with a ladder where the log says it was left, only by today's attempts if it is
        for today; undoing that begins it anew."""
        begun = on_ladder(self.setting, ladder)
        beat = note_name(self.passage.beat)
        left = as_left(
            begun,
            ladder,
            self._bars,
            beat,
            self._folders,
            self._moment() if is_for_today else None,
        )
        self.request(begun)
        if left != begun:
            self.change(left)

    def go_on(self) -> bool:
        """Go on with the ladder that was left; False if there is none."""
        if (left := self.ladder_left) is None:
            return False
        there = left.setting
        self.change(replace(self.setting, tempo=there.tempo, ladder=left.ladder, climb=there.climb))
        return True

    def undo(self) -> bool:
        """Ask for the setting before the last change; False if there is none."""
        self._was_step = False
        if not self._before:
            return False
        self.request(replace(self._before.pop(), first=self.setting.first))
        return True

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
        return bpm_at(track.plan, self.passage, place).limit_denominator(FINE)

    @property
    def unrated(self) -> tuple[Stretch, ...]:
        """What was played and not noted yet, the latest first; each becomes an attempt. What was
        over in a moment is among them only as the latest."""
        found = self.tally.stretches(self.passes_behind)
        return tuple(one for one in found if one is found[0] or not one.is_a_moment)

    def rated_as(self, stretch: Stretch, outcome: Outcome) -> Stretch | None:
        """What an outcome is said of: the stretch itself, but what was not played through cannot
        have held. Then it is said of the one before that was; None if there is none."""
        if stretch.times or outcome < Outcome.HELD:
            return stretch
        return next((one for one in self.before(stretch) if one.times), None)

    def before(self, stretch: Stretch) -> tuple[Stretch, ...]:
        """What is unrated and was played before it, the latest first."""
        found = self.unrated
        ids = [one.id for one in found]
        return found[ids.index(stretch.id) + 1 :] if stretch.id in ids else ()

    def so_far(self) -> tuple[Attempt, ...]:
        """What was played and not noted yet, rated at its worst until somebody says."""
        found = self.tally.stretches(self.passes_behind)
        return tuple(_attempt(self, one, Outcome.FELL_APART) for one in found if one.seconds >= 1)

    def attempt(
        self,
        outcome: Outcome,
        note: str = "",
        heard: Heard | None = None,
        of: Stretch | None = None,
    ) -> Attempt:
        """How it went; on disk when this returns, or waiting. It is said of the stretch `of`, the
        latest if None, or of what `rated_as` makes of it. `heard` is kept beside it.

        What is on counts from nothing afterwards, and a ladder moves if it was played at the
        tempo it has now. Where the disk refuses, the attempt waits and is tried again, and
        `unsaved` says so. Raises RequestError if nothing can be said.
        """
        found = self.unrated
        if not found:
            raise RequestError("nothing was played yet", next="Start the drill first.")
        asked = next((one for one in found if of is not None and one.id == of.id), found[0])
        rated = self.rated_as(asked, outcome)
        if rated is None or (heard is not None and rated is not asked):
            raise RequestError(
                "it was not played through to its end, so it cannot have held",
                next="Say 1 or 2, or go back and play it through.",
            )
        attempt = replace(_attempt(self, rated, outcome, note), heard=heard)
        self.unsaved = note_or_keep_unsaved(self._folders, attempt)
        self.tally.noted(rated, self.passes_behind)
        self._before.clear()
        self._was_step = False
        if self.setting.ladder is not None:
            began = attempt.at - timedelta(seconds=attempt.seconds)
            keep_ladder(self._folders, self._bars, self.setting.ladder, began)
        if rated.setting.tempo == self.setting.tempo:
            self.request(setting_after(self.setting, outcome, rated.times))
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
    """A drill that begins at the tempo of the plan, or goes on with its ladder where today left
    it. May be called in any thread."""
    drill = open_drill(open_score, chosen, folders)
    if isinstance(tempo, Ladder):
        drill.climb(tempo, is_for_today=True)
    else:
        drill.request(at_tempo(drill.setting, tempo))
    return drill


def _attempt(drill: Drill, stretch: Stretch, outcome: Outcome, note: str = "") -> Attempt:
    open_score, passage, played = drill.open_score, drill.passage, stretch.setting
    return Attempt(
        id=stretch.id,
        at=stretch.ended,
        score_title=open_score.score.title,
        score_digest=open_score.digest,
        score_path=str(open_score.path),
        part_id=passage.part_id,
        part_name=passage.part_name,
        first_bar=passage.first,
        last_bar=passage.last,
        bars_label=span_name(passage.clock, passage.first, passage.last),
        tempo=stretch.tempo,
        beat=note_name(passage.beat),
        outcome=outcome,
        layers=tuple(layer.value for layer in played.layers),
        silences=silences_in_words(played.silences) if played.silences else "",
        accompaniment=who_plays(played.accompaniment, open_score.score)
        if played.are_others_on
        else (),
        repetitions=stretch.times,
        seconds=min(stretch.seconds, LONGEST),
        note=note,
    )

"""A take, heard and judged: a file that is handed over, or a recording made in the drill."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from companion.click.plan.plan import ClickPlan
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.practice.attempt import now
from companion.score.passage import Passage
from companion.sound.recording import Recording, samples_of, write_take

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement
    from companion.listening.take import Take
    from companion.session.drill import Drill

_LATE = 0.3
"""Seconds after the moment of stopping until which a note may have been meant."""
_LATELY = 8.0
"""Seconds that are heard again while the take goes on: enough to know the player's own tempo."""


def judge_take(
    take: Path | Take,
    passage: Passage,
    click: ClickPlan,
    *,
    is_click_heard: bool,
    until: float | None = None,
) -> Judgement:
    """Hear a take, read from its file if it is one, and judge it.

    `is_click_heard` is whether the click sounded meanwhile, so that it has to be taken out;
    `until` is when the player stopped, in seconds since the first time through began. Raises
    CompanionError if the take cannot be heard or is of something else.
    """
    from companion.listening.due_times import due_in
    from companion.listening.hearing import hear
    from companion.listening.judgement import judgement
    from companion.listening.take import read_take

    due = due_in(passage, click)
    if until is not None:
        notes = tuple(note for note in due.notes if note.seconds < until)
        beats = tuple(beat for beat in due.beats if beat.seconds < until)
        silent = tuple(bars for bars in due.silent if bars.until <= until)
        due = replace(due, notes=notes, beats=beats, silent=silent)
    recorded = read_take(take) if isinstance(take, Path) else take
    heard = hear(recorded, due.notes, click if is_click_heard else None)
    return judgement(heard, due)


class RecordedDrill:
    """A drill that is recorded from its beginning until it is finished."""

    def __init__(self, drill: Drill, record: Callable[[], Recording] = Recording) -> None:
        """Opens the microphone and begins. Raises SoundError if there is none."""
        drill.stop()
        self._recording = record()
        drill.start()
        self._drill = drill
        self._track = drill.transport.track

    def drop(self) -> None:
        """Close the microphone and forget what came in."""
        self._recording.stop()

    def lately(self) -> RecentBars | None:
        """The last bars of what has been recorded so far; None before anything was due."""
        place, track = self._drill.transport.place(), self._track
        if place is None or place.into < 0 or track is not self._drill.transport.track:
            return None
        if track is None:
            return None
        recorded, _ = self._recording.last(_LATELY)
        table = track.plan.timetable
        now = float(table.seconds(place.passes, place.into) - table.begin(0))
        plan = replace(track.plan, repeat=place.passes + 1)
        return RecentBars(recorded, self._drill.passage, plan, now)

    def finish(self) -> RecordedTake:
        """Pause the drill and close the microphone.

        Raises RequestError if the click was changed meanwhile, so that nobody can say what was due.
        """
        place, track = self._drill.transport.place(), self._drill.transport.track
        self._drill.pause()
        recorded = self._recording.stop()
        if track is None or track is not self._track:
            raise RequestError(
                "the click was changed during this take, so it is not judged",
                next="Record again, and leave the tempo and the layers alone.",
            )
        if place is None or place.into < 0:
            raise RequestError("the take ended in the count-in", next="Record again.")
        table = track.plan.timetable
        until = float(table.seconds(place.passes, place.into) - table.begin(0))
        plan = replace(track.plan, repeat=place.passes + 1)
        return RecordedTake(recorded, self._drill.passage, plan, until)


@dataclass(frozen=True, slots=True)
class RecordedTake:
    """What the microphone heard of a drill."""

    recorded: bytes
    """16 bits a sample, one channel."""
    passage: Passage
    click: ClickPlan
    until: float
    """When it was stopped, in seconds since the first time through began."""

    def judged(self) -> Judgement:
        """Hear and judge it; takes a second. Raises CompanionError."""
        from companion.listening.take import checked_take
        from companion.sound.recording import RATE

        take = checked_take(samples_of(self.recorded), RATE)
        until = self.until + _LATE
        return judge_take(take, self.passage, self.click, is_click_heard=True, until=until)

    def keep(self, folders: Folders) -> Path:
        """Write it into the data folder. Raises NotWritten."""
        path = folders.data / "takes" / f"take-{now():%Y-%m-%d-%H%M%S}.wav"
        write_take(self.recorded, path)
        return path


@dataclass(frozen=True, slots=True)
class RecentBars:
    """The last seconds of a take that goes on."""

    recorded: bytes
    """16 bits a sample, one channel."""
    passage: Passage
    click: ClickPlan
    now: float
    """Seconds since the first time through began."""

    def judged(self) -> Judgement:
        """Hear and judge the bars that lie in it; takes a tenth of a second, for what leaks of
        the click stays in. Raises CompanionError."""
        from companion.listening.due_times import due_in
        from companion.listening.hearing import hear
        from companion.listening.judgement import judgement
        from companion.listening.take import checked_take
        from companion.sound.recording import RATE

        due = due_in(self.passage, self.click)
        heard_since = self.now - len(self.recorded) / 2 / RATE + _LATE
        bars = [beat.seconds for beat in due.beats if beat.number == 1] or [0.0]
        since = min((at for at in bars if at >= heard_since), default=max(heard_since, 0.0))
        until = self.now - _LATE
        notes = tuple(note for note in due.notes if since <= note.seconds < until)
        beats = tuple(beat for beat in due.beats if since <= beat.seconds < self.now)
        take = checked_take(samples_of(self.recorded), RATE)
        return judgement(hear(take, notes), replace(due, notes=notes, beats=beats, silent=()))

"""Record a take on the drill: the microphone is open from one key to the next, and it says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual import work
from textual.message import Message

from companion.errors import CompanionError
from companion.practice.attempt import Attempt, HeardBy
from companion.tui.screens.drill_setting_keys import DrillSettingKeys
from companion.tui.widgets.early_late import EarlyLate
from companion.wording.drill_sentences import JUDGING, MICROPHONE_IS_OPEN
from companion.wording.score_sentences import bar_span_told, pull_label

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement
    from companion.session.drill import Drill
    from companion.session.listening import RecentBars, RecordedDrill, RecordedTake


class DrillRecordingKeys(DrillSettingKeys):
    """A screen with a drill that can be recorded."""

    recording: RecordedDrill | None = None
    """Not None while the microphone is open."""
    earlier: list[Judgement]
    """What was heard of this passage since the drill was opened, takes and taps, in order."""
    _beat_heard = 0
    _is_hearing = False

    @dataclass
    class HeardLately(Message):
        """The last bars of the take that goes on; None if nothing can be told of them."""

        judged: Judgement | None

    @dataclass
    class Judged(Message):
        """A take was heard."""

        take: RecordedTake
        judged: Judgement

    @dataclass
    class NotJudged(Message):
        """A take could not be heard."""

        problem: CompanionError

    def begin_recording(self, drill: Drill) -> None:
        """Open the microphone. Raises SoundError."""
        from companion.session.listening import RecordedDrill

        self.recording = RecordedDrill(drill)

    def follow(self) -> None:
        """Look at the drill as long as it plays; `DrillScreen` knows how."""

    def noted(self, attempt: Attempt | None) -> None:
        """An attempt was noted elsewhere."""

    def action_record(self) -> None:
        """Record from the beginning; again: stop, and see how it went."""
        if self.recording is not None:
            self.finish_recording()
        elif self.drill is not None:
            try:
                self.begin_recording(self.drill)
            except CompanionError as problem:
                self.notice.show_error(problem)
                return
            self.follow()
            self.notice.say(MICROPHONE_IS_OPEN)

    def hear_on(self, beat: int) -> None:
        """Once a beat, hear the last bars of what is recorded."""
        if self.recording is None or beat == self._beat_heard or self._is_hearing:
            return
        self._beat_heard = beat
        bars = self.recording.lately()
        if bars is not None:
            self._is_hearing = True
            self._hear(bars)

    @work(thread=True, group="lately")
    def _hear(self, bars: RecentBars) -> None:
        try:
            self.post_message(self.HeardLately(bars.judged()))
        except CompanionError:  # too little, or nothing played there: the take itself will say
            self.post_message(self.HeardLately(None))

    def on_drill_recording_keys_heard_lately(self, event: HeardLately) -> None:
        """Show it under the lanes."""
        self._is_hearing = False
        drill = self.drill
        if event.judged is not None and self.recording is not None and drill is not None:
            self.query_one(EarlyLate).show(
                event.judged, self.bars_told, self.earlier, partial(pull_label, drill.open_score)
            )

    def bars_told(self, first: int, last: int) -> str:
        """Bars as the page prints them."""
        drill = self.drill
        return bar_span_told(drill.open_score, first, last) if drill is not None else ""

    def finish_recording(self) -> None:
        """Close the microphone and judge the take."""
        self.query_one(EarlyLate).clear_strip()
        recording, self.recording = self.recording, None
        if recording is None:
            return
        try:
            take = recording.finish()
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        self.notice.say(JUDGING)
        self._judge(take)

    def drop_recording(self) -> None:
        """Close the microphone; nothing is kept."""
        recording, self.recording = self.recording, None
        if recording is not None:
            self.query_one(EarlyLate).clear_strip()
            recording.drop()
            self.notice.say("The microphone is closed; nothing of this take is kept.")

    @work(thread=True, exclusive=True, group="judge")
    def _judge(self, take: RecordedTake) -> None:
        try:
            self.post_message(self.Judged(take, take.judged()))
        except CompanionError as problem:
            self.post_message(self.NotJudged(problem))

    def on_drill_recording_keys_judged(self, event: Judged) -> None:
        """Show it; the take is forgotten unless it is asked to be kept."""
        from companion.tui.screens.judgement_screen import JudgementScreen

        if self.drill is None or not self.is_current:
            return
        self.notice.clear()
        keep: Callable[[], Path] = lambda: event.take.keep(self.folders)  # noqa: E731
        before = tuple(self.earlier)
        screen = JudgementScreen(self.drill, event.judged, HeardBy.TAKE, keep, before)
        self.earlier.append(event.judged)
        self.app.push_screen(screen, self.noted)

    def on_drill_recording_keys_not_judged(self, event: NotJudged) -> None:
        """Say why."""
        self.notice.show_error(event.problem)

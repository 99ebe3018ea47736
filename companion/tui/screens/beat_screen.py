"""A click without a score, for scales and for warming up: the drill on one bar of a meter.

Its minutes go into the log as what they were; nobody is asked how a beat went.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from typing import ClassVar

from textual.binding import Binding, BindingType

from companion.click.words.tempo_words import tempo_in_words
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.practice.entry import Activity
from companion.session import setting_changes
from companion.session.plain_beat import (
    BeatAsked,
    BeatDrill,
    BeatWords,
    beat_asked,
    keep_beat,
    open_beat,
    passage_of_beat,
    plain_beat,
    setting_of_beat,
    tapped_bpm,
)
from companion.tui.screens.choice_screen import ChoiceScreen
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.drill_stand_keys import STAND
from companion.tui.screens.form_screen import FormScreen
from companion.tui.screens.score_app import app_of
from companion.tui.widgets.form import Form
from companion.wording.log_sentences import entry_told
from companion.wording.phrases import bpm_told, play_time

_BEATS = (
    ("4/4", "a meter: its felt beats"),
    ("6/8", "two dotted quarters"),
    ("3+2+2/8", "groups, as they are felt"),
    ("3:2", "a ratio: three equal notes over two beats"),
)
_OWN_KEYS: list[BindingType] = [
    Binding("N", "other_beat", "Beat"),
    Binding("k", "tap", "Tap"),
    Binding("e,enter", "how_did_it_go", "Log", key_display="⏎"),
]
_LEFT_OUT = {"R", "h", "g", "i", "n", "N"}
"""Keys of the drill that mean nothing without a passage."""
_EXPLAINED = {
    "k": "tap the tempo: two taps or more",
    "p": "tempo plan: a ladder, a ramp, two alternating tempos, by bars",
    "Enter or e": "log the minutes played, for example as scales",
}
_TOO_SHORT = "Nothing to log yet: under a minute was played."
_NO_PAGE = "There are no notes here, only a beat."
_NOT_LOGGED = "do not log"


def _checked(words: str, _: str) -> str:
    plain_beat(words)
    return words


_BEAT_FORM: Form[str, str] = Form(
    "Which beat?",
    rows=lambda _: (),
    told=lambda words: f"{words}, at the tempo set now.",
    words=str,
    read=_checked,
    done=str,
    examples=_BEATS,
)


class BeatScreen(DrillScreen):
    """One bar going round; answers with what there is to tell afterwards."""

    CSS_PATH = "drill_screen.tcss"
    LEGENDS = (DrillScreen.LEGENDS[0].removeprefix("n: notes  "), "")
    BINDINGS: ClassVar[list[BindingType]] = _OWN_KEYS
    HELP: ClassVar[list[tuple[str, str]]] = [
        ("N", "another meter, groups or ratio"),
        *(
            (key, _EXPLAINED.get(key, told))
            for key, told in DrillScreen.HELP
            if key not in _LEFT_OUT
        ),
    ]

    def __init__(
        self,
        folders: Folders,
        asked: BeatAsked | None = None,
        make: Callable[[], BeatDrill] | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """`asked` is as it was last set if None; `make` opens another drill than usual; `clock`
        gives the seconds of a tap."""
        asked = asked or beat_asked(folders)
        open_score, bar = passage_of_beat(asked.beat)
        usual = partial(open_beat, open_score, bar, folders, asked.setting)
        super().__init__(open_score, bar, folders, make=make or usual)
        self.asked_for = asked
        self._clock = clock
        self._taps: list[float] = []

    def heading(self, told: str) -> tuple[str, str]:
        """What is beaten."""
        return f"Beat  {self.open_score.score.title}", ""

    @property
    def beat(self) -> BeatDrill | None:
        """The drill, once the sound card is open."""
        return self.drill if isinstance(self.drill, BeatDrill) else None

    def on_unmount(self) -> None:
        """Log what was to be logged, however the program ends."""
        self._log_as(self.asked_for.what)
        super().on_unmount()

    def action_tap(self) -> None:
        """The tempo of the last taps."""
        self._taps.append(self._clock())
        bpm = tapped_bpm(self._taps)
        if bpm is None:
            self.notice.say("Tap again.")
            return
        self._change(lambda drill: setting_changes.at_tempo(drill.setting, bpm), is_step=True)
        self.notice.say(f"Tapped: {bpm_told(bpm)}.")

    def action_record(self) -> None:
        """There are no notes to hear it against."""
        self.notice.say(_NO_PAGE)

    def action_pictures(self) -> None:
        """There is nothing to engrave."""
        self.notice.say(_NO_PAGE)

    def action_notes(self) -> None:
        """Lanes show a beat; nobody wrote it as notes."""
        self.notice.say(_NO_PAGE)

    def action_other_beat(self) -> None:
        """Another meter or ratio, at the tempo of this one."""

        def answer(words: str | None) -> None:
            if words is not None:
                self._change_beat(words)

        self.app.push_screen(FormScreen(_BEAT_FORM, self.open_score.score.title), answer)

    def _change_beat(self, words: str) -> None:
        before = self.beat.setting if self.beat is not None else self.asked_for.setting
        beat = plain_beat(words)
        setting = setting_of_beat(beat, BeatWords(tempo_in_words(before.tempo)))
        setting = replace(
            setting,
            silences=before.silences,
            count_in=before.count_in,
            accompaniment=replace(before.accompaniment, parts=()),
            are_others_on=before.accompaniment.drone is not None and before.are_others_on,
        )
        asked = BeatAsked(beat, setting, self.asked_for.what)
        there = BeatScreen(self.folders, asked)
        there.set_class(self.has_class(STAND), STAND)
        self._leave_to(lambda _: self.app.switch_screen(there))

    def action_how_did_it_go(self) -> None:
        """Log the minutes, and go on."""
        if self.beat is None or not self.beat.is_worth_logging:
            self.notice.say(_TOO_SHORT)
        else:
            self._ask_what(self.notice.say)

    def action_leave(self) -> None:
        """Back; what was played for a minute or more can be logged first."""

        def leave(said: str) -> None:
            app_of(self).tell(said)
            self.dismiss()

        self._leave_to(leave)

    def action_quit(self) -> None:
        """Out of the program, in the same way."""
        self._leave_to(lambda _: self.app.exit())

    def _leave_to(self, leave: Callable[[str], object]) -> None:
        if self.beat is not None:
            self._keep(self.beat)
        if self.beat is None or not self.beat.is_worth_logging:
            leave("")
        else:
            self._ask_what(leave)

    def _ask_what(self, then: Callable[[str], object]) -> None:
        if self.asked_for.what is not None:
            then(self._log_as(self.asked_for.what))
            return
        names: Sequence[str] = [*Activity, _NOT_LOGGED]
        played = play_time(self.beat.played) if self.beat is not None else ""

        def answer(row: int | None) -> None:
            if row is not None:
                then(self._log_as(list(Activity)[row] if row < len(Activity) else None))

        self.app.push_screen(ChoiceScreen(f"Log {played} as", names), answer)

    def _log_as(self, what: Activity | None) -> str:
        """What became of it, to be told; nothing if there was nothing to log."""
        if what is None or self.beat is None or not self.beat.is_worth_logging:
            return ""
        try:
            return f"Logged: {entry_told(self.beat.entry(self.folders, what))}"
        except CompanionError as problem:
            self.notice.show_error(problem)
            return problem.sentence()

    def _keep(self, drill: BeatDrill) -> None:
        try:
            keep_beat(self.folders, drill)
        except CompanionError as problem:
            self.notice.show_error(problem)

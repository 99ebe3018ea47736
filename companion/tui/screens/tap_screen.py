"""Tap the rhythm of a passage on two keys, or a MIDI pad, against its sounding click.

The moment of a key is taken from the event as the terminal's reader made it, before the screen
has drawn anything. The first time on a computer, 16 plain beats measure how late taps come here.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import partial
from operator import attrgetter
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.widgets import Static

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import Fixed
from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.practice.attempt import Attempt, HeardBy
from companion.score.bar_numbers import rehearsal_marks
from companion.session.drill import Drill
from companion.session.lanes import lanes_of
from companion.session.tapping import (
    KEYBOARD,
    MINE,
    THEIRS,
    Tapping,
    device_name,
    keep_calibration,
    kept_calibration,
    sides_of_pad,
)
from companion.sound.device_choice import sound_choice
from companion.sound.midi_in import OpenPad, Pad, pad_named, pads
from companion.tui.screens.judgement_screen import JudgementScreen
from companion.tui.widgets.beat_number import BeatNumber
from companion.tui.widgets.early_late import with_faint_rows
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.wording.score_sentences import bar_span_told, pull_label
from companion.wording.tap_sentences import calibration_told, keys_told, taps_told
from companion.wording.timing_strip import timing_strip

if TYPE_CHECKING:
    from companion.listening.judgement import Judgement
    from companion.listening.taps import Calibration

_LOOKS_A_SECOND = 30
_SIDES = {"f": THEIRS, "j": MINE}
"""The keys under both forefingers."""
_PLAIN_BPM = Fraction(96)
"""Beats a minute of the plain beats: where taps are steadiest (400 to 800 ms, common practice)."""
CALIBRATION_BEATS = 16
_LAST_LINES = 8
"""Lines of the strip that are shown while it plays."""


class TapScreen(Screen[Attempt | None]):
    """Answers with the attempt that was noted, or None."""

    CSS_PATH = "tap_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "start_or_stop", "Start, stop", key_display="space"),
        Binding("c", "calibrate", "Measure"),
        Binding("escape", "back", "Back", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("f, j", "tap the other side's notes, your own; one of them alone is enough"),
        ("Space", "start; stop and see how it went"),
        ("c", f"measure how late taps come here: {CALIBRATION_BEATS} plain beats"),
        ("Escape", "back to the drill"),
    ]

    def __init__(
        self,
        drill: Drill,
        facing: int,
        folders: Folders,
        clock: Callable[[], float] = time.monotonic,
        moment: Callable[[events.Key], float] = attrgetter("time"),
        earlier: list[Judgement] | None = None,
    ) -> None:
        """`facing` is the part that is theirs; `moment` tells by `clock` when a key was struck.
        `earlier` are the attempts that were heard before; these taps join them."""
        super().__init__()
        self.drill = drill
        self.facing = facing
        self.folders = folders
        self.earlier: list[Judgement] = [] if earlier is None else earlier
        self.instrument = KEYBOARD
        self._clock, self._moment = clock, moment
        self._tapping: Tapping | None = None
        self._is_plain = False
        self._beat = 0
        self._setting = drill.setting
        self._pad: Pad | None = None
        self.device = ""
        """What a calibration is kept for."""
        self._measured: Calibration | None = None

    def compose(self) -> ComposeResult:
        """The keys, the beat, how it stands."""
        passage = self.drill.passage
        yield Heading(f"Tap  {self._bars(passage.first, passage.last)}", passage.part_name)
        with Horizontal(id="tap-now"):
            yield BeatNumber()
            yield Static(id="tap-told", markup=False)
        yield Static(id="tap-keys", markup=False)
        yield Static(id="tap-strip", markup=False)
        clock = passage.clock
        conflicts = self.drill.open_score.conflicts
        lanes = lanes_of(passage, conflicts, self.facing, rehearsal_marks(clock))
        yield PassageLanes(lanes, has_notes=False)
        yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Nothing sounds before space."""
        self.drill.stop()
        self.drill.forget_what_was_played()
        self._timer = self.set_interval(1 / _LOOKS_A_SECOND, self.look, pause=True)
        self._with(KEYBOARD)
        if found := pads():
            self.listen_to(found[0], pad_named(found[0]))

    def _with(self, instrument: str) -> None:
        """Taps come from this one."""
        self.instrument = instrument
        self.device = device_name(instrument, sound_choice(self.folders).device or "")
        self._measured = kept_calibration(self.folders, self.device)
        self._tell()

    def on_unmount(self) -> None:
        """Leave no sound and no port behind."""
        if self._pad is not None:
            self._pad.close()
        self._stop()

    def on_screen_suspend(self) -> None:
        """Another screen lies over this one: nothing is tapped there."""
        self._stop()

    def listen_to(self, name: str, open_pad: OpenPad) -> None:
        """Take strokes from a MIDI pad as well."""
        try:
            self._pad = Pad(open_pad, self._clock)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self._with(name)

    def on_key(self, event: events.Key) -> None:
        """A tap, at the moment of the event."""
        if self._tapping is not None and event.key in _SIDES:
            self._tapping.tap(_SIDES[event.key], self._moment(event))
            event.stop()

    def action_start_or_stop(self) -> None:
        """Begin with the plain beats if nothing was measured here yet, else tap; or stop."""
        if self._tapping is not None:
            self._finish()
        elif self._measured is None:
            self.action_calibrate()
        else:
            self._start(is_plain=False)

    def action_calibrate(self) -> None:
        """Sixteen plain beats."""
        self._stop()
        plain = replace(
            self._setting,
            tempo=Fixed(_PLAIN_BPM),
            layers=(Layer.BEAT,),
            silences=(),
            are_others_on=False,
            ladder=None,
        )
        self.drill.request(plain)
        self._start(is_plain=True)

    def _start(self, *, is_plain: bool) -> None:
        self.query_one(Notice).clear()
        self._is_plain = is_plain
        try:
            self.drill.start()
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
            return
        self._tapping = Tapping(self.drill, self.facing, self._clock)
        if self._pad is not None:
            self._pad.strokes.clear()
        self._timer.resume()
        self.look()

    def look(self) -> None:
        """Show the beat; plain beats end by themselves."""
        tapping = self._tapping
        if tapping is None:
            return
        self.drill.keep_going()
        tapping.look()
        position = self.drill.position()
        beat = self.query_one(BeatNumber)
        beat.number = position.beat.number if position and position.beat else 0
        self.query_one(PassageLanes).playhead = (
            position.time if position and not self._is_plain else None
        )
        if beat.number != self._beat and not self._is_plain:
            self._beat = beat.number
            self._draw(tapping)
        if self._is_plain and tapping.beats_left(CALIBRATION_BEATS + 1) == 0:
            self._finish()
        self._tell()

    def _draw(self, tapping: Tapping) -> None:
        """The last lines of the strip, up to the beat before."""
        try:
            judged = tapping.judged(self._measured.delay if self._measured else 0.0)
        except CompanionError:  # nothing was tapped yet
            return
        pulls = partial(pull_label, self.drill.open_score)
        strip = timing_strip(judged, self._bars, self.earlier, pulls)[-_LAST_LINES:]
        self.query_one("#tap-strip", Static).update(with_faint_rows(strip))

    def _bars(self, first: int, last: int) -> str:
        return bar_span_told(self.drill.open_score, first, last)

    def _finish(self) -> None:
        tapping, is_plain = self._tapping, self._is_plain
        if tapping is None:
            return
        if self._pad is not None:
            for side, moment in sides_of_pad(self._pad.strokes):
                tapping.tap(side, moment)
        try:
            if is_plain:
                self._measured = tapping.calibration(CALIBRATION_BEATS)
                keep_calibration(self.folders, self.device, self._measured)
                self.query_one(Notice).say("Measured. Space: now the passage.")
            else:
                self._judge(tapping)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        finally:
            self._stop()
            self._tell()

    def _judge(self, tapping: Tapping) -> None:
        judged = tapping.judged(self._measured.delay if self._measured else 0.0)
        self.drill.pause()
        screen = JudgementScreen(self.drill, judged, HeardBy.TAPS, None, tuple(self.earlier))
        self.earlier.append(judged)
        self.app.push_screen(screen, self._noted)

    def _noted(self, attempt: Attempt | None) -> None:
        if attempt is not None:
            self.dismiss(attempt)

    def _stop(self) -> None:
        """Silence; what the drill was set to holds again."""
        self._tapping = None
        self._timer.pause()
        self.drill.stop()
        if self._is_plain:
            self._is_plain = False
            self.drill.request(self._setting)
            self.drill.forget_what_was_played()

    def action_back(self) -> None:
        """To the drill; what was only tapped is not noted."""
        self._stop()
        self.drill.forget_what_was_played()
        self.dismiss(None)

    def _tell(self) -> None:
        tapping = self._tapping
        left = tapping.beats_left(CALIBRATION_BEATS) if tapping and self._is_plain else None
        parts = self.drill.open_score.score.parts
        other = parts[self.facing].name if self.facing != self.drill.passage.part else ""
        self.query_one("#tap-told", Static).update(
            Text("\n".join(taps_told(tapping.count if tapping else None, left, self._measured)))
        )
        lines = [*keys_told(other, self.instrument), *calibration_told(self.device, self._measured)]
        self.query_one("#tap-keys", Static).update(Text("\n".join(lines)))

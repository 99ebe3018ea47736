"""The drill: a passage going round, a playhead over its lanes, and how it went.

Where we are is asked of the player thirty times a second, and only what moved is painted.
Nobody leaves by mistake with practice that was not noted: the question comes first.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.journal.practice_in_progress import (
    EVERY_SECONDS,
    forget_in_progress,
    keep_in_progress,
)
from companion.practice.attempt import Attempt
from companion.score.bar_numbers import rehearsal_marks
from companion.score.passage import Passage
from companion.session.drill import Drill, open_drill
from companion.session.lanes import first_facing, lanes_of
from companion.session.open_score import OpenScore
from companion.tui.screens.drill_stand_keys import STAND, DrillStandKeys
from companion.tui.screens.notes_keys import NOTES_EXPLAINED, NOTES_KEYS, NotesKeys
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.screens.setting_forms import ASKED
from companion.tui.widgets.audio_worker import AudioWorker
from companion.tui.widgets.changed_lines import OneLine
from companion.tui.widgets.drill_status import DrillStatus
from companion.tui.widgets.early_late import EarlyLate
from companion.tui.widgets.engraved_passage import EngravedPassage
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_beside import PassageBeside
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.tui.widgets.stand_view import StandView
from companion.wording.drill_sentences import (
    BEFORE_THE_FIRST_SOUND,
    LAYER_KEYS,
    LAYER_MEANINGS,
    NEXT_IS,
    STARTS_WHEN_READY,
    STILL_LOADING,
    TIME_FOR_A_REST,
    ladder_told,
    noted_told,
    silence_told,
)
from companion.wording.score_sentences import bar_span_told

_KEYS: list[BindingType] = [
    Binding("space", "start_or_pause", "Play", key_display="space"),
    Binding("left", "seek(-1)", "Bar", key_display="←→"),
    Binding("right", "seek(1)", show=False),
    Binding("a", "again", show=False),
    Binding("up,plus", "faster(1)", "Tempo", key_display="↑↓"),
    Binding("down,minus", "faster(-1)", show=False),
    Binding("shift+up,pageup", "faster(5)", show=False),
    Binding("shift+down,pagedown", "faster(-5)", show=False),
    Binding("u", "undo", show=False),
    Binding("g", "go_on", show=False),
    *(Binding(key, f"layer('{key}')", show=False) for key in LAYER_KEYS),
    Binding("o", "others", show=False),
    *(Binding(key, f"ask('{key}')", show=False) for key in ASKED),
    Binding("c", "count_in", show=False),
    Binding("v", "sound", show=False),
    Binding("s", "stop", show=False),
    Binding("h", "hide", show=False),
    Binding("f", "stand", "Stand", show=False),
    Binding("N", "next", "Today's next", show=False),
    *NOTES_KEYS,
    Binding("k", "tap", "Tap", show=False),
    Binding("R", "record", "Record", show=False),
    Binding("e,enter", "how_did_it_go", "How it went", key_display="⏎"),
    Binding("escape", "leave", "Back", key_display="esc"),
    Binding("q", "quit", "Quit"),
]
"""What each key does."""

_EXPLAINED = [
    ("Space", "start, pause, go on"),
    ("← →", "previous bar, next bar"),
    ("a", "again from this bar, with a count-in"),
    ("↑ ↓", "one beat a minute faster, slower"),
    ("Shift+↑ ↓", "five (also Page Up, Page Down)"),
    ("u", "undo the last change of tempo, plan, layers or silences"),
    ("g", "go on with the ladder of the last time, where it was left"),
    ("p", "tempo plan: a ladder, a ramp, two alternating tempos"),
    *((key, f"{layer.value}: {LAYER_MEANINGS[layer]}") for key, layer in LAYER_KEYS.items()),
    ("w", "every layer: bar, coincidence, a part's written rhythm"),
    ("x", "silences: bars without click (×13: bar 13 is one), or one side alone"),
    ("o", "accompaniment on or off"),
    ("O", "who plays along, sound, tuning, drone"),
    ("c", "count-in of 0, 1 or 2 bars, from the next start"),
    ("v", "sound device and latency"),
    ("s", "stop, back to the beginning"),
    ("h", "hide the other parts, or show them"),
    ("f", "from the stand: large figures, the notes that come, a MIDI pedal or pad"),
    ("N", "today's next passage, as the plan has it"),
    *NOTES_EXPLAINED,
    ("R", "record yourself through the microphone; R or Space ends it, and it is judged"),
    ("k", "tap the rhythm on two keys, and see how early or late"),
    ("Enter or e", "say how it went, for the log"),
]
"""The same in words, for the help."""


LOOKS_A_SECOND = 30
"""How often the player is asked where it is."""
SOON = 0.3
"""Seconds in which any sound card has carried out what it was told."""
_LEGEND = "n: notes  ◆ note begins  ━ it lasts  · rest  ┃ together  ╵ ╷ one side  ▼ now"
"""One line that explains every sign."""
_NOTES_LEGEND = "n: lanes  ┃ together  ╵ ╷ one side only  ┌ eighth  ╒ sixteenth  ▼ heard now"
"""The same for notes on staves."""


class DrillScreen(NotesKeys, DrillStandKeys):
    """One passage, practised."""

    CSS_PATH = "drill_screen.tcss"
    LEGENDS = (_LEGEND, _NOTES_LEGEND)
    BINDINGS: ClassVar[list[BindingType]] = _KEYS
    HELP: ClassVar[list[tuple[str, str]]] = _EXPLAINED  # type: ignore[assignment]

    def __init__(
        self,
        open_score: OpenScore,
        passage: Passage,
        folders: Folders,
        facing: int | None = None,
        make: Callable[[], Drill] | None = None,
        aim: str = "",
    ) -> None:
        """`facing` is the part mine is compared with; `make` opens another drill than usual;
        `aim` is what an exercise asks, in words."""
        super().__init__()
        self.open_score = open_score
        self.passage = passage
        self.folders = folders
        self.facing = first_facing(passage, open_score.conflicts) if facing is None else facing
        self.drill: Drill | None = None
        self.earlier = []
        self.aim = aim
        self._make = make or (lambda: open_drill(open_score, passage, folders))
        self._rest_was_told = False
        self._starts_when_ready = False

    def compose(self) -> ComposeResult:
        """How things stand, the lanes, what the signs mean."""
        bars = bar_span_told(self.open_score, self.passage.first, self.passage.last)
        marks = rehearsal_marks(self.open_score.clock)
        yield Heading(*self.heading(f"{bars} · {self.open_score.score.title}"))
        yield DrillStatus()
        yield StandView()
        if self.aim:
            yield Static(self.aim, id="drill-aim", markup=False)
        lanes = lanes_of(self.passage, self.open_score.conflicts, self.facing, marks)
        with Horizontal():
            yield EngravedPassage(lanes, self.open_score, self.folders)
            yield PassageBeside()
        yield OneLine(id="drill-legend", classes="legend")
        yield EarlyLate(markup=False)
        yield Notice()
        yield AudioWorker()
        yield KeyLine()

    def heading(self, told: str) -> tuple[str, str]:
        """What this is, and whose."""
        return f"Drill  {told}", f"{self.passage.part_name} ●"

    def on_mount(self) -> None:
        """Open the sound card elsewhere; the screen is there at once."""
        self._timer = self.set_interval(1 / LOOKS_A_SECOND, self.look, pause=True)
        self.set_interval(EVERY_SECONDS, self.keep_practice)
        self.query_one(AudioWorker).open(self._make)
        self.query_one(PassageBeside).show_passage(self.open_score, self.passage, self.folders)
        if self.has_class(STAND):
            self.open_pedal()

    def keep_practice(self) -> None:
        """Keep what was played and not rated yet, in case the program ends without a question."""
        so_far = self.drill.so_far() if self.drill is not None else ()
        if so_far:
            keep_in_progress(self.folders, so_far)
        else:
            forget_in_progress(self.folders)

    def on_unmount(self) -> None:
        """Leave no sound and no open microphone behind."""
        self.close_pedal()
        if self.recording is not None:
            self.recording.drop()
        if self.drill is not None:
            self.drill.close()

    def on_screen_suspend(self) -> None:
        """Another screen lies over this one: pause the music."""
        self.drop_recording()
        if self.drill is not None and self.drill.state == "playing":
            self._pause(self.drill)

    def on_audio_worker_ready(self, event: AudioWorker.Ready) -> None:
        """Everything is there; wait for the player."""
        self.drill = event.drill
        event.drill.load(event.track)
        self.query_one(DrillStatus).warn(
            BEFORE_THE_FIRST_SOUND if event.drill.is_caution_due else ""
        )
        self.notice.say(" ".join(filter(None, (event.drill.notice, ladder_told(event.drill)))))
        if event.drill.log_error is not None:
            self.notice.show_error(event.drill.log_error)
        self.look()
        if self._starts_when_ready and self.is_current:
            self._try(event.drill, event.drill.start)

    def on_audio_worker_rendered(self, event: AudioWorker.Rendered) -> None:
        """Go on at the same place with what is wanted now."""
        if self.drill is not None:
            self.drill.load(event.track)
            if silence := silence_told(self.drill):
                self.notice.say(silence)
            self.look()

    def on_audio_worker_refused(self, event: AudioWorker.Refused) -> None:
        """Say why, and keep what sounds."""
        self.notice.show_error(event.problem)
        if self.drill is None:
            self.refused = event.problem
        else:
            self.drill.keep_what_sounds()
            self.look()

    def look(self) -> None:
        """Show what is heard now."""
        drill = self.drill
        if drill is None or not self.is_attached:
            return
        if drill.keep_going():
            self.notice.say(drill.notice)
        position = drill.position()
        lanes = self.query_one(PassageLanes)
        lanes.playhead = position.time if position else None
        self.mark_silent(drill, lanes, position.place.passes if position else 0)
        self.query_one(DrillStatus).show(drill, position)
        self.show_stand(drill, position)
        if position is not None and position.beat is not None:
            self.hear_on(position.beat.number)
        if drill.is_long_without_rest and not self._rest_was_told:
            self.notice.say(TIME_FOR_A_REST)
        self._rest_was_told = drill.is_long_without_rest

    def action_start_or_pause(self) -> None:
        """Start, pause or go on; while it is recorded, end that."""
        if self.recording is not None:
            self.finish_recording()
            self._timer.pause()
            self.look()
            return
        if self.drill is None:
            self._starts_when_ready = not self._starts_when_ready
            self.tell_not_ready(STARTS_WHEN_READY if self._starts_when_ready else STILL_LOADING)
            return
        if self.drill.state == "playing":
            self._pause(self.drill)
        else:
            self._try(self.drill, self.drill.start)

    def _try(self, drill: Drill, begin: Callable[[], None]) -> None:
        try:
            begin()
        except CompanionError as problem:
            self.notice.show_error(problem)
            return
        self.query_one(DrillStatus).warn("")
        self.notice.say(drill.notice)
        self._timer.resume()
        self.look()

    def follow(self) -> None:
        """Look thirty times a second."""
        self.query_one(DrillStatus).warn("")
        self._timer.resume()
        self.look()

    def _pause(self, drill: Drill) -> None:
        drill.pause()
        self._timer.pause()
        self.look()

    def action_stop(self) -> None:
        """Back to the beginning; what is being recorded is dropped."""
        self.drop_recording()
        if self.drill is not None:
            self.drill.stop()
            self._timer.pause()
            self.look()

    def action_again(self) -> None:
        """Again from the bar that is on, counted in."""
        if self.drill is None:
            self.tell_not_ready()
        else:
            self._try(self.drill, self.drill.again)

    def action_seek(self, by: int) -> None:
        """To another bar."""
        if self.drill is not None:
            self.drill.seek(by)
            self.look()
            if self.drill.state == "paused":
                # Nobody looks while it is paused, and the card takes a moment to follow.
                self.set_timer(SOON, self.look)

    def action_hide(self) -> None:
        """Show the two facing lanes alone, or all."""
        lanes = self.query_one(PassageLanes)
        lanes.alone = not lanes.alone

    def action_tap(self) -> None:
        """Tap the rhythm; first ask how it went, if it was played through."""
        drill = self.drill
        if drill is not None:
            self._timer.pause()
            self.leave_for(lambda: self._tap(drill))

    def _tap(self, drill: Drill) -> None:
        from companion.tui.screens.tap_screen import TapScreen

        self.app.push_screen(
            TapScreen(drill, self.facing, self.folders, earlier=self.earlier), self.noted
        )

    def action_how_did_it_go(self) -> None:
        """Ask how it went."""
        if self.drill is not None and self.drill.unrated:
            self.app.push_screen(OutcomeScreen(self.drill), self.noted)
        else:
            self.notice.say("Nothing to log yet: press space to start.")

    def noted(self, attempt: Attempt | None) -> None:
        """Say so, and make the sound of what is wanted next."""
        if attempt is not None and self.drill is not None:
            on = f" {NEXT_IS}" if self.has_class(STAND) else ""
            self.notice.say(f"{noted_told(self.drill, attempt)}{on}")
            self.keep_practice()
            self.query_one(PassageBeside).show_passage(self.open_score, self.passage, self.folders)
            self.look()
            self.query_one(AudioWorker).render_sound(self.drill)

    def action_leave(self) -> None:
        """Back to the passage; first ask how it went, if it was played through."""
        self.leave_for(self.dismiss)

    def action_quit(self) -> None:
        """Out of the program; first ask how it went, if it was played through."""
        self.leave_for(self.app.exit)

    def drill_screen(
        self, open_score: OpenScore, chosen: Passage, make: Callable[[], Drill]
    ) -> DrillScreen:
        """The same screen with another drill."""
        return DrillScreen(open_score, chosen, self.folders, make=make)

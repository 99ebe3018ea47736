"""The app: which screen comes first, and the keys that work on all of them.

It leaves everything else to the screens. Each screen that has a list `HELP` of keys and
what they do is explained by the key `?`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType

from companion.errors import CompanionError
from companion.files.folders import Folders, demo_score
from companion.tui.ending import end_on_signals, fault_told
from companion.tui.score_opening import ScoreOpening
from companion.tui.screens.score_app import KeepsPractice
from companion.tui.toolkit_patches import apply_patches

if TYPE_CHECKING:
    from companion.session.open_score import OpenScore
    from companion.session.plain_beat import BeatAsked

FIRST_SCREENS_STAND = 5.0
"""Seconds after which no first screen waits for anything."""


class CompanionApp(ScoreOpening):
    """The practice companion on a whole terminal."""

    TITLE = "companion"
    # Also those of the first screens: each sheet that is added later is parsed with all the others.
    CSS_PATH = ["app.tcss", "screens/opening_screen.tcss", "screens/map_screen.tcss"]
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "help", "Help", key_display="?"),
        Binding("l", "log", "Log"),
        Binding("ctrl+p", "palette", show=False),
        Binding("ctrl+z", "suspend_process", show=False),
        Binding("ctrl+l", "draw_again", show=False),
        Binding("q", "quit", "Quit"),
    ]
    beat: BeatAsked | None = None  # what it begins with instead of a score

    def __init__(
        self,
        folders: Folders,
        path: Path | None = None,
        clock: Callable[[], datetime] | None = None,
        *,
        with_tour: bool = False,
    ) -> None:
        """`clock` says what moment it is, with its UTC offset; the tour begins on the map."""
        apply_patches()
        super().__init__(folders, path)
        self.clock = clock or _now
        self.shows_notes = True
        self._with_tour = with_tour

    def _fatal_error(self) -> None:
        """Instead of the toolkit's traceback, which would show a player our source."""
        self.panic(Text(fault_told(self.folders, self._exception, self.clock())))

    @property
    def open_score(self) -> OpenScore | None:
        """The score of the uppermost screen that shows one; None if none is open."""
        stands = (getattr(screen, "open_score", None) for screen in reversed(self.screen_stack))
        return next((open_score for open_score in stands if open_score is not None), None)

    def on_mount(self) -> None:
        """Show the named score if it was read before; the log is looked at after that."""
        end_on_signals(self._end_on_signal)
        self.show_kept()
        self.call_after_refresh(self._ask_about_timer)
        self.set_timer(FIRST_SCREENS_STAND, _use_session_thresholds)

    def _ask_about_timer(self) -> None:
        from companion.journal.timing import running_timer

        try:
            timer = running_timer(self.folders)
        except CompanionError:  # the first screen tells that the log cannot be read
            timer = None
        if timer is None:
            self._ask_what_was_left(None)
            return
        from companion.tui.screens.left_timer_screen import LeftTimerScreen

        self.push_screen(
            LeftTimerScreen(self.folders, timer, self.clock()), self._ask_what_was_left
        )

    def _end_on_signal(self, status: int) -> None:
        """As `q`, but nobody is there to answer how it went: the next start asks."""
        for screen in self.screen_stack:
            if isinstance(screen, KeepsPractice):
                screen.keep_practice()
        self.exit(return_code=status)

    def action_suspend_process(self) -> None:
        """Into the background, as any program of a shell: no sound, and what was played is kept."""
        for screen in self.screen_stack:
            if isinstance(screen, KeepsPractice):
                screen.on_screen_suspend()
                screen.keep_practice()
        super().action_suspend_process()

    def _ask_what_was_left(self, said: str | None) -> None:
        """Ask about practice that ended with the program; then begin."""
        from companion.journal.practice_in_progress import left_in_progress

        left = left_in_progress(self.folders)
        if not left:
            self._begin(said)
            return
        from companion.tui.screens.left_practice_screen import LeftPracticeScreen

        def go_on(told: str | None) -> None:
            if told is None:
                self._begin(said)
            else:
                self._ask_what_was_left(told)

        self.push_screen(LeftPracticeScreen(self.folders, left[0]), go_on)

    def _begin(self, said: str | None) -> None:
        if said:
            self.first_screen.tell(said)
            self._say_on_screen(said)
        if self.path is not None:
            self.open_path(self.path)
        elif self.beat is not None:
            self.action_beat()
        if self._with_tour:
            self.begin_tour()

    def action_help(self) -> None:
        """Explain the keys of the screen that is shown."""
        from companion.tui.screens.help_screen import HelpScreen

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(getattr(self.screen, "HELP", [])))

    def action_tour(self) -> None:
        """Two minutes on the built-in score, to a first drill."""
        self.open_path(demo_score())
        self.begin_tour()

    def action_log(self) -> None:
        """Show what was practised."""
        from companion.tui.screens.log_screen import LogScreen

        if not isinstance(self.screen, LogScreen):
            self.push_screen(LogScreen(self.folders, self.open_score, self.clock))

    def action_today(self) -> None:
        """Show today's plan; bound only by screens that hold no practice without an outcome."""
        from companion.tui.screens.today_screen import TodayScreen

        self.push_screen(TodayScreen(self.folders, self.open_score, self.clock))

    def action_goals(self) -> None:
        """Show every goal."""
        from companion.tui.screens.goals_screen import GoalsScreen

        self.push_screen(GoalsScreen(self.folders))

    def action_beat(self) -> None:
        """A click without a score: the one that was asked for, then as it was last set."""
        from companion.tui.screens.beat_screen import BeatScreen

        asked, self.beat = self.beat, None
        self.push_screen(BeatScreen(self.folders, asked))

    def action_habits(self) -> None:
        """Show the numbers a day's plan is made with."""
        from companion.tui.screens.habits_screen import HabitsScreen

        try:
            habits = HabitsScreen(self.folders)
        except CompanionError as problem:
            self.refuse(problem)
        else:
            self.push_screen(habits, self.tell)

    def action_timer(self) -> None:
        """Start a timer, or ask what to do with the one that runs."""
        from companion.journal.timing import running_timer
        from companion.practice.entry import Activity
        from companion.tui.screens.choice_screen import ChoiceScreen

        try:
            timer = running_timer(self.folders)
        except CompanionError as problem:
            self.refuse(problem)
            return
        if timer is None:
            self.push_screen(ChoiceScreen("Start a timer for", list(Activity)), self._start_timer)
            return
        from companion.tui.screens.left_timer_screen import LeftTimerScreen

        self.push_screen(LeftTimerScreen(self.folders, timer, self.clock()), self.tell)

    def _start_timer(self, row: int | None) -> None:
        from companion.journal.timing import start_timer
        from companion.practice.entry import Activity

        if row is None:
            return
        try:
            timer = start_timer(self.folders, list(Activity)[row])
        except CompanionError as problem:
            self.refuse(problem)
        else:
            self.tell(f"Timer for {timer.what} started at {timer.started:%H:%M}; t stops it.")

    def action_exercises(self) -> None:
        """Show what is assigned, and what is built in."""
        from companion.tui.screens.exercises_screen import ExercisesScreen

        self.push_screen(ExercisesScreen(self.folders))


def _now() -> datetime:
    return datetime.now().astimezone()


def _use_session_thresholds() -> None:
    """The command line makes the collector rare, to start sooner; in a session of hours screens
    that are closed would stay in memory."""
    from companion.sound.gc_pause import use_session_thresholds

    use_session_thresholds()

"""The app: which screen comes first, and the keys that work on all of them.

It leaves everything else to the screens. Each screen that has a list `HELP` of keys and
what they do is explained by the key `?`.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.screen import Screen

from companion.errors import CompanionError
from companion.files.folders import Folders, demo_score
from companion.tui.faults import (
    end_on_signals,
    fault_told,
    forgive_dismissals,
    forgive_keyboard,
    forgive_lists,
)
from companion.tui.screens.score_app import KeepsPractice
from companion.tui.writing_keys import WritingKeys

if TYPE_CHECKING:
    from fractions import Fraction

    from companion.click.plan.tempo_plan import Ladder
    from companion.score.passage import Passage
    from companion.score.readers.opening import Opened
    from companion.session.open_score import OpenScore
    from companion.session.plain_beat import BeatAsked
    from companion.tui.screens.opening_screen import OpeningScreen


class CompanionApp(WritingKeys):
    """The practice companion on a whole terminal."""

    TITLE = "companion"
    # Those of the screens a session begins with, too: each that comes later is read with all anew.
    CSS_PATH = ["app.tcss", "screens/opening_screen.tcss", "screens/map_screen.tcss"]
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "help", "Help", key_display="?"),
        Binding("l", "log", "Log"),
        Binding("ctrl+p", "palette", show=False),
        Binding("ctrl+z", "suspend_process", show=False),
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
        forgive_keyboard()
        forgive_dismissals()
        forgive_lists()
        super().__init__(folders)
        self.path = path
        self.clock = clock or _now
        self.shows_notes = True
        self._with_tour = with_tour
        self._kept = self._kept_score()

    def _fatal_error(self) -> None:
        """Instead of the toolkit's traceback, which would show a player our source."""
        self.panic(Text(fault_told(self.folders, self._exception, self.clock())))

    @property
    def open_score(self) -> OpenScore | None:
        """The score of the uppermost screen that shows one; None if none is open."""
        stands = (getattr(screen, "open_score", None) for screen in reversed(self.screen_stack))
        return next((open_score for open_score in stands if open_score is not None), None)

    def get_default_screen(self) -> Screen[None]:
        """The choice of a score lies below all other screens; it is made when it is first seen."""
        return self._first_screen if self._kept is None else _Ground(self._show_first_screen)

    def _show_first_screen(self) -> None:
        self.push_screen(self._first_screen)

    def on_mount(self) -> None:
        """Show the named score if it was read before; the log is looked at after that."""
        end_on_signals(self._end_on_signal)
        if self._kept is not None:
            self._open(self._kept, self._show_map, self._refuse)
            self.path = self._kept = None
        self.call_after_refresh(self._ask_about_timer)

    def _refuse(self, problem: CompanionError) -> None:
        self._first_screen.show_error(problem)

    def _kept_score(self) -> Opened | None:
        if self.path is None:
            return None
        from companion.session.background_reading import kept_score

        with suppress(CompanionError):
            return kept_score(self.path, self.folders)
        return None

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
            self._first_screen.tell(said)
            self._say_on_screen(said)
        if self.path is not None:
            self.open_path(self.path)
        elif self.beat is not None:
            self.action_beat()
        if self._with_tour:
            self.begin_tour()

    def open_path(self, path: Path) -> None:
        """Open a score on the map: at once where it was read before, else through a child."""
        self.read_score(path, self._show_map, self._refuse)

    def read_score(
        self,
        path: Path,
        then: Callable[[OpenScore], object],
        refuse: Callable[[CompanionError], object],
    ) -> None:
        """Open a score for `then`, or tell `refuse` why it cannot be.

        Neither is called where the player stops the reading.
        """
        from companion.session.background_reading import kept_score

        def read(outcome: Opened | CompanionError | None) -> None:
            if outcome is not None:
                self._open(outcome, then, refuse)

        try:
            opened = kept_score(path, self.folders)
        except CompanionError as problem:
            refuse(problem)
            return
        if opened is not None:
            read(opened)
            return
        from companion.tui.screens.reading_screen import ReadingScreen

        self.push_screen(ReadingScreen(path, self.folders), read)

    def _open(
        self,
        outcome: Opened | CompanionError,
        then: Callable[[OpenScore], object],
        refuse: Callable[[CompanionError], object],
    ) -> None:
        from companion.library.recent_scores import note_opened
        from companion.session.open_score import open_with_choices

        try:
            if isinstance(outcome, CompanionError):
                raise outcome
            open_score = open_with_choices(outcome, self.folders)
        except CompanionError as problem:
            refuse(problem)
        else:
            then(open_score)
            self.call_after_refresh(note_opened, self.folders, open_score, self.clock())

    def open_passage(
        self, open_score: OpenScore, passage: Passage, planned: Fraction | Ladder | None = None
    ) -> None:
        """Show a passage; `planned` is what today's plan has for it, in its felt beats."""
        from companion.tui.screens.passage_screen import PassageScreen

        self.push_screen(PassageScreen(open_score, passage, self.folders, planned))

    def _show_map(self, open_score: OpenScore) -> None:
        from companion.tui.screens.map_screen import MapScreen

        self.push_screen(MapScreen(open_score, self.folders))

    @cached_property
    def _first_screen(self) -> OpeningScreen:
        from companion.tui.screens.opening_screen import OpeningScreen

        return OpeningScreen(self.folders)

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
            self.push_screen(LogScreen(self.folders, self.open_score))

    def action_today(self) -> None:
        """Show what today is for; bound by the screens from which nothing is left unsaid."""
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
            self._first_screen.show_error(problem)
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
            self._refuse(problem)
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
            self._refuse(problem)
        else:
            self.tell(f"Timer for {timer.what} started at {timer.started:%H:%M}; t stops it.")

    def tell(self, said: str | None) -> None:
        """Say on the first screen what was done elsewhere, if anything was."""
        if said:
            self._first_screen.tell(said)

    def open_progress(self, path: Path) -> None:
        """Show how the player's part of a score goes; first ask whose, if no part is theirs yet."""
        from companion.session.open_score import choose_part, part_meant
        from companion.tui.screens.choice_screen import WHOSE, ChoiceScreen
        from companion.tui.screens.progress_screen import ProgressScreen

        def show(open_score: OpenScore) -> None:
            if open_score.choices.part:
                part = part_meant(open_score, None)
                self.push_screen(ProgressScreen(open_score, part, self.folders, clock=self.clock))
                return
            names = [part.name for part in open_score.score.parts]

            def chosen(part: int | None) -> None:
                if part is not None:
                    show(choose_part(open_score, self.folders, part).open_score)

            self.push_screen(ChoiceScreen(WHOSE, names), chosen)

        self.read_score(path, show, self._refuse)

    def action_exercises(self) -> None:
        """Show what is assigned, and what is built in."""
        from companion.tui.screens.exercises_screen import ExercisesScreen

        self.push_screen(ExercisesScreen(self.folders))


class _Ground(Screen[None]):
    """Lies below the score that was named at the start: nothing, until one leaves that."""

    def __init__(self, show_first_screen: Callable[[], None]) -> None:
        super().__init__()
        self._show_first_screen = show_first_screen

    def on_screen_resume(self) -> None:
        """Nothing else is shown."""
        if self.app.screen is self:
            self._show_first_screen()


def _now() -> datetime:
    return datetime.now().astimezone()

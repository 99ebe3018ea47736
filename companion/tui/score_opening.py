"""How a score comes onto the screen: found in the cache or read through a child, then shown."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from textual.screen import Screen

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.tui.writing_keys import WritingKeys

if TYPE_CHECKING:
    from fractions import Fraction

    from companion.click.plan.tempo_plan import Ladder
    from companion.score.passage import Passage
    from companion.score.readers.opening import Opened
    from companion.session.open_score import OpenScore
    from companion.tui.screens.opening_screen import OpeningScreen


class ScoreOpening(WritingKeys):
    """An app that opens scores, over the screen on which one is chosen."""

    clock: Callable[[], datetime]

    def __init__(self, folders: Folders, path: Path | None) -> None:
        """`path` names the score that is shown first, if any."""
        super().__init__(folders)
        self.path = path
        self._kept = self._kept_score()

    def show_kept(self) -> None:
        """Show the map of the named score if it was read before."""
        if self._kept is not None:
            self._open(self._kept, self._show_map, self.refuse)
            self.path = self._kept = None

    def get_default_screen(self) -> Screen[None]:
        """The choice of a score lies below all other screens; it is made when it is first seen."""
        return self.first_screen if self._kept is None else _Ground(self._show_first_screen)

    def _show_first_screen(self) -> None:
        self.push_screen(self.first_screen)

    def refuse(self, problem: CompanionError) -> None:
        """Say on the first screen why something could not be done."""
        self.first_screen.show_error(problem)

    def _kept_score(self) -> Opened | None:
        if self.path is None:
            return None
        from companion.session.background_reading import kept_score

        with suppress(CompanionError):
            return kept_score(self.path, self.folders)
        return None

    def open_path(self, path: Path) -> None:
        """Open a score on the map: at once where it was read before, else through a child."""
        self.read_score(path, self._show_map, self.refuse)

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
    def first_screen(self) -> OpeningScreen:
        """On which a score is chosen, and which says what was done elsewhere."""
        from companion.tui.screens.opening_screen import OpeningScreen

        return OpeningScreen(self.folders)

    def tell(self, said: str | None) -> None:
        """Say on the first screen what was done elsewhere, if anything was."""
        if said:
            self.first_screen.tell(said)

    def open_progress(self, path: Path) -> None:
        """Show how the player's part of a score goes; first ask whose, if no part is theirs yet."""
        from companion.score.part_names import distinct_names
        from companion.session.open_score import choose_part, part_meant
        from companion.tui.screens.choice_screen import WHOSE, ChoiceScreen
        from companion.tui.screens.progress_screen import ProgressScreen

        def show(open_score: OpenScore) -> None:
            if open_score.choices.part:
                part = part_meant(open_score, None)
                self.push_screen(ProgressScreen(open_score, part, self.folders, clock=self.clock))
                return
            names = distinct_names([part.name for part in open_score.score.parts])

            def chosen(part: int | None) -> None:
                if part is not None:
                    show(choose_part(open_score, self.folders, part).open_score)

            self.push_screen(ChoiceScreen(WHOSE, names), chosen)

        self.read_score(path, show, self.refuse)


class _Ground(Screen[None]):
    """Lies below the score that was named at the start: nothing, until one leaves that."""

    def __init__(self, show_first_screen: Callable[[], None]) -> None:
        super().__init__()
        self._show_first_screen = show_first_screen

    def on_screen_resume(self) -> None:
        """Nothing else is shown."""
        if self.app.screen is self:
            self._show_first_screen()

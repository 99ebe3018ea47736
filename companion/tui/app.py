"""The app: which screen comes first, and the keys that work on all of them.

It leaves everything else to the screens. Each screen that has a list `HELP` of keys and
what they do is explained by the key `?`.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import Binding, BindingType

from companion.desk.folders import Folders
from companion.desk.reading import kept
from companion.desk.settling import stand_for
from companion.desk.stand import Stand
from companion.errors import CompanionError
from companion.score.opening import Opened
from companion.tui.screens.help import HelpScreen
from companion.tui.screens.log import LogScreen
from companion.tui.screens.map import MapScreen
from companion.tui.screens.opening import OpeningScreen
from companion.tui.screens.reading import ReadingScreen
from companion.tui.theme import COLOURLESS, EVENING


class CompanionApp(App[None]):
    """The practice companion on a whole terminal."""

    TITLE = "companion"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("question_mark", "help", "Help", key_display="?"),
        Binding("f1", "help", "Help", show=False),
        Binding("l", "log", "Log"),
        Binding("q", "quit", "Quit"),
    ]

    def __init__(self, folders: Folders, path: Path | None = None) -> None:
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.folders = folders
        self.path = path
        self.stand: Stand | None = None
        self.register_theme(EVENING)
        self.theme = COLOURLESS if self.no_color else EVENING.name

    def on_mount(self) -> None:
        """Begin with the choice of a score, and lay the named one over it."""
        self.push_screen(OpeningScreen(self.folders))
        if self.path is not None:
            self.open_score(self.path)

    def open_score(self, path: Path) -> None:
        """Open a score on the map: at once where it was read before, else through a child."""
        try:
            opened = kept(path, self.folders)
        except CompanionError as problem:
            self._refuse(problem)
            return
        if opened is not None:
            self._put_on_stand(opened)
        else:
            self.push_screen(ReadingScreen(path, self.folders), self._read)

    def _read(self, outcome: Opened | CompanionError | None) -> None:
        if isinstance(outcome, CompanionError):
            self._refuse(outcome)
        elif outcome is not None:
            self._put_on_stand(outcome)

    def _put_on_stand(self, opened: Opened) -> None:
        try:
            self.stand = stand_for(opened, self.folders)
        except CompanionError as problem:
            self._refuse(problem)
            return
        self.push_screen(MapScreen(self.stand, self.folders), self._put_away)

    def _put_away(self, _: None) -> None:
        self.stand = None

    def _refuse(self, problem: CompanionError) -> None:
        """Say on the first screen why a score could not be opened."""
        for screen in self.screen_stack:
            if isinstance(screen, OpeningScreen):
                screen.complain(problem)

    def action_help(self) -> None:
        """Explain the keys of the screen that is shown."""
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(getattr(self.screen, "HELP", [])))

    def action_log(self) -> None:
        """Show what was practised."""
        if not isinstance(self.screen, LogScreen):
            self.push_screen(LogScreen(self.folders, self.stand))

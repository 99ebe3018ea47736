"""The app's colours, there from the first paint: chosen by the player and kept."""

from __future__ import annotations

import os
from typing import ClassVar

from textual.binding import Binding, BindingType

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.tui.guarded_app import GuardedApp
from companion.tui.theme import THEMES, Colours, chosen_colours, keep_colours
from companion.tui.widgets.beside import WIDE

_SIXTEEN = ("standard", "windows")
"""Terminals that would only show the nearest of their own colours."""


class ThemedApp(GuardedApp):
    """An app in the player's colours."""

    # Classes that a style sheet may ask for.
    HORIZONTAL_BREAKPOINTS = [
        (0, "-slim"),
        (72, "-narrow"),
        (WIDE, "-wide"),
        (180, "-broad"),
    ]
    VERTICAL_BREAKPOINTS = [(0, "-low"), (24, "-high"), (36, "-tall")]
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f2", "colours", "Colours", show=False)]

    def __init__(self, folders: Folders) -> None:
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.folders = folders
        for theme in THEMES.values():
            self.register_theme(theme)
        self._colours = chosen_colours(folders)
        self._has_few = self.no_color or self.console.color_system in _SIXTEEN
        self.theme = THEMES[Colours.TERMINAL if self._has_few else self._colours].name

    def refresh_css(self, animate: bool = True) -> None:
        """Show new colours; before the first screen only the variables are set: its styles are
        parsed with them."""
        if self.screen_stack:
            super().refresh_css(animate=animate)
        else:
            self.stylesheet.set_variables(self.get_css_variables())

    def action_colours(self) -> None:
        """Choose the colours."""
        from companion.tui.screens.choice_screen import ChoiceScreen

        if isinstance(self.screen, ChoiceScreen):
            return
        offered = list(Colours)
        chosen = offered.index(self._colours)
        self.push_screen(ChoiceScreen("Colours", offered, chosen), self._show_colours)

    def _show_colours(self, row: int | None) -> None:
        if row is None:
            return
        self._colours = list(Colours)[row]
        if self._has_few:
            why = (
                "NO_COLOR is set" if self.no_color else "This terminal has no more than 16 colours"
            )
            self.notify(f"{why}, so its own are used here. Your choice is kept for others.")
        else:
            self.theme = THEMES[self._colours].name
        try:
            keep_colours(self.folders, self._colours)
        except CompanionError as problem:
            self.notify(problem.sentence(), severity="error")

"""The keys by which the app is learned: the manual, the tour, and everything found by typing."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from companion.errors import CompanionError
from companion.tui.themed_app import ThemedApp
from companion.tui.widgets.notice import Notice

if TYPE_CHECKING:
    from companion.tui.tour import Tour

TOUR_AGAIN = "The tour is over. T on the first screen begins the tour again."
_LOOKS = 0.2
"""Seconds between two looks at whether a step of the tour was followed."""


class LearningKeys(ThemedApp):
    """An app with a manual and a tour; both are loaded when they are asked for."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "manual", "Manual", show=False),
        Binding("escape", "end_tour", "End tour", key_display="esc", priority=True),
    ]
    _tour: Tour | None = None

    def action_manual(self) -> None:
        """Show the manual, the page that fits the screen first."""
        from companion.tui.screens.manual_screen import PAGES, ManualScreen
        from companion.wording.manual_pages import manual_pages

        try:
            pages = manual_pages()
        except CompanionError as problem:
            self.notify(problem.sentence(), severity="error")
            return
        self.push_screen(ManualScreen(pages, PAGES.get(type(self.screen).__name__, "")))

    def action_palette(self) -> None:
        """Everything that can be done here, found by typing."""
        from textual.command import CommandPalette

        if not isinstance(self.screen, CommandPalette):
            self.push_screen(CommandPalette(placeholder="What do you want to do?"))

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Every key of the screen and of the app, by what it does."""
        from companion.tui.screens.palette import commands_of

        return commands_of(self, screen)

    def begin_tour(self) -> None:
        """The tour from its first step, on whatever screen it stands on."""
        from companion.tui.tour import Tour

        is_first = self._tour is None
        self._tour = Tour()
        if is_first:
            self.set_interval(_LOOKS, self._look_at_tour)

    def _look_at_tour(self) -> None:
        if self._tour is not None and self.screen.is_mounted:
            self._tour.look(self.screen)

    def action_end_tour(self) -> None:
        """Escape ends the tour, and does nothing else then."""
        if self._tour is not None:
            self._tour.is_over = True
            self._look_at_tour()
            if notices := self.screen.query(Notice):
                notices.first().say(TOUR_AGAIN)
            else:
                self.notify(TOUR_AGAIN)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Escape is the tour's only while its line is seen."""
        if action == "end_tour":
            return self._tour is not None and self._tour.is_shown_on(self.screen)
        return super().check_action(action, parameters)

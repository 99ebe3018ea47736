"""The key that writes what is on the screen to a file."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType

from companion.files.folders import Folders
from companion.tui.learning_keys import LearningKeys
from companion.tui.widgets.notice import Notice

if TYPE_CHECKING:
    from companion.session.open_score import OpenScore


class WritingKeys(LearningKeys):
    """An app whose screens can be written to files."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("W", "write", "Write to a file", show=False),
    ]
    folders: Folders

    @property
    def open_score(self) -> OpenScore | None:
        """The score that is on the screen."""
        raise NotImplementedError

    def action_write(self) -> None:
        """Ask what shall be written to a file, of what is on the screen."""
        from companion.tui.screens.choice_screen import ChoiceScreen
        from companion.tui.screens.writing_choice import writings

        found = writings(self.screen, self.open_score, self.folders)

        def chosen(row: int | None) -> None:
            if row is not None:
                self.push_screen(found[row][1](), self._say_on_screen)

        self.push_screen(ChoiceScreen("Write to a file", [name for name, _ in found]), chosen)

    def _say_on_screen(self, said: str | None) -> None:
        if said and (notices := self.screen.query(Notice)):
            notices.first().say(said)

"""The manual over any screen, the page about that screen first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from companion.tui.widgets.key_line import KeyLine
from companion.wording.manual_pages import ManualPage

PAGES = {
    "OpeningScreen": "scores",
    "MapScreen": "map",
    "FindingsScreen": "map",
    "AssumptionsScreen": "map",
    "PassageScreen": "passage",
    "GoalsScreen": "today",
    "HabitsScreen": "today",
    "TodayScreen": "today",
    "DrillScreen": "drill",
    "OutcomeScreen": "drill",
    "FormScreen": "drill",
    "TapScreen": "listening",
    "JudgementScreen": "listening",
    "StudyScreen": "study",
    "LogScreen": "log",
    "LogFormScreen": "log",
    "ProgressScreen": "progress",
    "ExercisesScreen": "exercises",
    "ExerciseSheetScreen": "exercises",
    "ExercisePassageScreen": "exercises",
    "SoundScreen": "sound",
}
"""The page that fits a screen; all others have the first."""


class ManualScreen(ModalScreen[None]):
    """One page at a time."""

    CSS_PATH = "manual_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("right,n,space", "turn(1)", "Next page", key_display="→"),
        Binding("left,p", "turn(-1)", "Previous", key_display="←"),
        Binding("escape,f1,q", "dismiss", "Close", key_display="esc"),
    ]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("→ ←", "next page, previous page"),
        ("↑ ↓", "scroll"),
        ("Escape", "close"),
    ]

    def __init__(self, pages: Sequence[ManualPage], name: str) -> None:
        """`name` is that of the page to begin with."""
        super().__init__()
        self.pages = pages
        self.number = next((at for at, one in enumerate(pages) if one.name == name), 0)

    def compose(self) -> ComposeResult:
        """The page in a box."""
        with VerticalScroll(id="manual-box"):
            yield Static(id="manual-page")
        yield KeyLine()

    def on_mount(self) -> None:
        """Show the page; arrows scroll it."""
        self.query_one("#manual-box").focus()
        self.action_turn(0)

    def action_turn(self, by: int) -> None:
        """So many pages on; after the last comes the first."""
        self.number = (self.number + by) % len(self.pages)
        page = self.pages[self.number]
        self.query_one("#manual-page", Static).update(_set(page.text))
        box = self.query_one("#manual-box")
        box.border_title = f"Manual, {self.number + 1} of {len(self.pages)}: {page.title}"
        box.scroll_home(animate=False)


def _set(text: str) -> Text:
    """A page for reading: what stands between backticks is bold."""
    page = Text()
    for number, piece in enumerate(text.split("`")):
        page.append(piece, "bold" if number % 2 else "")
    return page

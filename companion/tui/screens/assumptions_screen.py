"""Everything the page leaves open and the program decided, so that a player can object."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from companion.session.open_score import OpenScore
from companion.tui.widgets.key_line import KeyLine
from companion.wording.score_sentences import assumption_told

_NOTHING = "No assumptions: meters, barlines and tempos are as printed."


class AssumptionsScreen(ModalScreen[None]):
    """A list to scroll; Escape closes it."""

    CSS_PATH = "assumptions_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,a,enter", "dismiss", "Close", key_display="esc"),
    ]

    def __init__(self, open_score: OpenScore) -> None:
        super().__init__()
        self.lines = [assumption_told(open_score, told) for told in open_score.clock.assumptions]

    def compose(self) -> ComposeResult:
        """One line an assumption."""
        with VerticalScroll(id="assumptions-box"):
            yield Static(Text("\n".join(self.lines) or _NOTHING))
            yield Static("To change a tempo relation, put the cursor there on the map and press t.")
        yield KeyLine()

    def on_mount(self) -> None:
        """Say what the box is; arrows scroll it."""
        box = self.query_one("#assumptions-box")
        box.border_title = f"Assumed ({len(self.lines)})"
        box.focus()

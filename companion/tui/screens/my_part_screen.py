"""Which part is mine: asked once, before the first passage."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.widgets import Footer, OptionList
from textual.widgets.option_list import Option


class MyPartScreen(ModalScreen[int | None]):
    """Answers with the index of a part, or None after Escape."""

    CSS_PATH = "my_part_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "Back")]

    def __init__(self, names: list[str], chosen: int) -> None:
        super().__init__()
        self.names = names
        self.chosen = chosen

    def compose(self) -> ComposeResult:
        """The parts from the top of the page."""
        yield OptionList(*(Option(Text(name)) for name in self.names), id="my-part-list")
        yield Footer(compact=True)

    def on_mount(self) -> None:
        """Begin at the part under the cursor."""
        parts = self.query_one(OptionList)
        parts.border_title = "Which part is yours?"
        parts.border_subtitle = "↑↓ and Enter"
        parts.highlighted = self.chosen
        parts.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """That one."""
        event.stop()
        self.dismiss(event.option_index)

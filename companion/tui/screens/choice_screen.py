"""One of a few: which part is mine, what a timer is for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import ModalScreen
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from companion.tui.widgets.key_line import KeyLine

WHOSE = "Which part is yours?"


class ChoiceScreen(ModalScreen[int | None]):
    """Answers with the index of one of the names, or None after Escape."""

    CSS_PATH = "choice_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "dismiss", "Back")]

    def __init__(self, asks: str, names: Sequence[str], chosen: int = 0) -> None:
        super().__init__()
        self.asks = asks
        self.names = names
        self.chosen = chosen

    def compose(self) -> ComposeResult:
        """In the order they were given."""
        yield OptionList(*(Option(Text(name)) for name in self.names), id="choice-list")
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin at the one that is likely."""
        listed = self.query_one(OptionList)
        listed.border_title = self.asks
        listed.border_subtitle = "↑↓ and Enter"
        listed.highlighted = self.chosen
        listed.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """That one."""
        event.stop()
        self.dismiss(event.option_index)

"""The keys of a screen and what they do, over that screen."""

from __future__ import annotations

from typing import ClassVar

from rich.table import Table
from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

from companion.tui.widgets.key_line import KeyLine

EVERYWHERE = [
    ("l", "the practice log"),
    ("W", "write to a file: what is open here, or a report for your teacher"),
    ("Ctrl+P", "everything that can be done here, found by typing"),
    ("F1", "the manual, at the page about this screen"),
    ("F2", "colours"),
    ("?", "this help"),
    ("Ctrl+L", "draw the screen again, if something else wrote on it"),
    ("Ctrl+Z", "put the app aside; fg in the shell brings it back"),
    ("Escape", "back"),
    ("q", "quit"),
]
"""Keys that do the same on every screen."""


class HelpScreen(ModalScreen[None]):
    """A list of keys; Escape or ? closes it."""

    CSS_PATH = "help_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,question_mark,enter", "dismiss", "Close", key_display="esc"),
    ]

    def __init__(self, keys: list[tuple[str, str]]) -> None:
        super().__init__()
        self.keys = keys

    def compose(self) -> ComposeResult:
        """One line a key, those of the screen first."""
        with VerticalScroll(id="help-box"):
            yield Static(_listed(self.keys))
            if self.keys:
                yield Static("On every screen", classes="help-title")
            yield Static(_listed(EVERYWHERE))
        yield KeyLine()

    def on_mount(self) -> None:
        """Say what the box is; arrows scroll it."""
        box = self.query_one("#help-box")
        box.border_title = "Keys on this screen"
        box.focus()


def _listed(keys: list[tuple[str, str]]) -> Table:
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(style="bold", no_wrap=True)
    table.add_column()
    for key, does in keys:
        table.add_row(Text(key), Text(does))
    return table

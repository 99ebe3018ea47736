"""A list of what pulls, one line each; typing narrows it, Enter goes there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from companion.session.open_score import OpenScore
from companion.session.score_chart import MapFinding
from companion.tui.widgets.changed_lines import shortened
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.map_beside import listed

_WIDEST = 140
"""Columns of the box (findings_screen.tcss)."""
_AROUND = 8
"""Columns of frame, padding and scroll bar."""


class FindingsScreen(ModalScreen[int | None]):
    """Answers with the ordinal position of the first bar of one, or None after Escape."""

    CSS_PATH = "findings_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Back"),
        Binding("up", "list('cursor_up')", show=False),
        Binding("down", "list('cursor_down')", show=False),
        Binding("pageup", "list('page_up')", show=False),
        Binding("pagedown", "list('page_down')", show=False),
    ]

    def __init__(
        self, open_score: OpenScore, found: Sequence[MapFinding], bar: int, title: str
    ) -> None:
        """`found` is in order of bars; the list begins at `bar`, an ordinal position."""
        super().__init__()
        self.lines = listed(open_score, found)
        self.found = found
        self.bar = bar
        self.title_told = title
        self.shown: list[int] = []

    def compose(self) -> ComposeResult:
        """A field, the list, a line if nothing is left."""
        with Vertical(id="findings-box"):
            yield Input(placeholder="type to narrow the list", id="findings-words")
            yield OptionList(id="findings-list")
            yield Static("No line has all these words.", id="findings-none")
        yield KeyLine()

    def on_mount(self) -> None:
        """Ready to type, at what pulls from the bar on."""
        box = self.query_one("#findings-box")
        box.border_title, box.border_subtitle = self.title_told, "↑↓ and Enter"
        self._narrow("")
        self.query_one(Input).focus()

    def on_resize(self) -> None:
        """Other words have room."""
        here = self.query_one(OptionList).highlighted
        self._narrow(self.query_one(Input).value)
        self.query_one(OptionList).highlighted = here

    def on_input_changed(self, event: Input.Changed) -> None:
        """Only the lines that have every word."""
        self._narrow(event.value)

    def _narrow(self, typed: str) -> None:
        words = typed.casefold().split()
        self.shown = [
            index
            for index, line in enumerate(self.lines)
            if all(word in line.casefold() for word in words)
        ]
        listed = self.query_one(OptionList)
        listed.clear_options()
        room = min(self.app.size.width * 96 // 100, _WIDEST) - _AROUND
        listed.add_options(Option(Text(shortened(self.lines[at], room))) for at in self.shown)
        firsts = [self.found[index].first for index in self.shown]
        ahead = (row for row, first in enumerate(firsts) if first >= self.bar)
        listed.highlighted = next(ahead, len(firsts) - 1) if firsts else None
        self.query_one("#findings-none").display = not firsts

    def action_list(self, move: str) -> None:
        """Move in the list while the field keeps the keys."""
        getattr(self.query_one(OptionList), f"action_{move}")()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """To the one that is highlighted."""
        event.stop()
        self._choose(self.query_one(OptionList).highlighted)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """That one."""
        event.stop()
        self._choose(event.option_index)

    def _choose(self, row: int | None) -> None:
        if row is not None:
            self.dismiss(self.found[self.shown[row]].first)

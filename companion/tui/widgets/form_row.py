"""A row of a form: its name, what is set, and the keys that change it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

from rich.cells import cell_len
from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static

from companion.tui.widgets.changed_lines import shortened
from companion.tui.widgets.form import Row

LABEL_WIDTH = 16
_LEAST_NOTE = 8
"""Columns below which a note tells nothing."""


class FormRow(Static, can_focus=True):
    """Shows a row and asks for its change; the form makes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "app.focus_previous", "Row", key_display="↑↓"),
        Binding("down", "app.focus_next", show=False),
        Binding("left", "step(-1)", "Change", key_display="←→"),
        Binding("right", "step(1)", show=False),
        Binding("pageup", "far(1)", "More", show=False),
        Binding("pagedown", "far(-1)", "Less", show=False),
    ]
    DEFAULT_CSS = """
    FormRow {
        height: 1;
        &:focus { height: auto; background: $panel; }
    }
    """

    @dataclass
    class Stepped(Message):
        """So many steps are wanted."""

        row: FormRow
        by: int

    @dataclass
    class Typed(Message):
        """Words were typed over the value, so far."""

        row: FormRow
        words: str

    def __init__(self, index: int, type_in_line: Callable[[str], object]) -> None:
        """`type_in_line` takes a letter for which this row has no use, at once: whoever types
        fast has typed the next before a message is read."""
        super().__init__(markup=False)
        self.index = index
        """Which row of the form."""
        self._type_in_line = type_in_line
        self.row: Row[Any] | None = None
        self.words: str | None = None
        """What is being typed over the value; None if nothing is."""
        self._value_at = (0, 0)

    def show(self, row: Row[Any]) -> None:
        """Show what is set now; what is being typed stays."""
        self.row = row
        self._draw()

    def _draw(self) -> None:
        row = self.row
        if row is None:
            return
        text = Text(f"{row.label:<{LABEL_WIDTH}} ")
        value = row.shown if self.words is None else f"{self.words}_"
        before, after = ("  ", "") if row.is_text else ("‹ ", " ›")
        self._value_at = (len(text), len(text) + len(value) + len(before + after))
        text.append(before)
        text.append(value or ("_" if self.has_focus else ""), self._value_style())
        text.append(after)
        others = [name for name in row.options if name != row.shown]
        told = row.note or (f"or {', '.join(others)}" if others else "")
        room = self.content_size.width - cell_len(text.plain) - 2
        if told and self.content_size.width and not self.has_focus:
            told = shortened(told, room) if room > _LEAST_NOTE else ""
        if told:
            text.append(f"  {told}", "dim")
        self.update(text)

    def _value_style(self) -> str:
        return "bold reverse" if self.has_focus else "bold"

    @property
    def is_typed(self) -> bool:
        """Whether something was typed that counts; no words are some in a text of one's own."""
        return bool(self.words) or (self._is_text and self.words is not None)

    @property
    def _is_text(self) -> bool:
        return self.row is not None and self.row.is_text

    def on_resize(self) -> None:
        """What it means is told whole where the cursor is, elsewhere as far as it fits."""
        self._draw()

    def watch_has_focus(self, has_focus: bool) -> None:
        """Mark the value where the cursor is."""
        super().watch_has_focus(has_focus)
        self._draw()

    def on_blur(self) -> None:
        """What was typed has been taken, or meant nothing."""
        if self.words is not None:
            self.words = None
            self.post_message(self.Typed(self, ""))

    def forget_typed(self) -> None:
        """Show the value again instead of what was typed."""
        self.words = None

    def action_step(self, by: int) -> None:
        """Ask for the next or the one before."""
        self.forget_typed()
        self.post_message(self.Stepped(self, by))

    def action_far(self, way: int) -> None:
        """Ask for a long step."""
        if self.row is not None:
            self.action_step(way * self.row.far)

    def on_key(self, event: events.Key) -> None:
        """Words are typed over the value; space alone is the next step."""
        if event.key == "space" and not self.words and not self._is_text:
            self.action_step(1)
        elif event.key == "backspace":
            self._type(self._so_far[:-1])
        elif event.key == "delete":
            self._type("")
        elif event.is_printable and event.character:
            self._type(self._so_far + event.character)
        else:
            return
        event.stop()
        event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """A pasted line is typed at once."""
        event.stop()
        self._type(self._so_far + " ".join(event.text.split()))

    @property
    def _so_far(self) -> str:
        """What the next letter comes after."""
        if self.words is None and self.row is not None and self._is_text:
            return self.row.shown
        return self.words or ""

    def _type(self, words: str) -> None:
        if self.row is None or self.row.typed is None:
            self._type_in_line(words)
            return
        self.words = words
        self._draw()
        self.post_message(self.Typed(self, words))

    def on_click(self, event: events.Click) -> None:
        """To the left of the value's middle is less, the rest more."""
        start, end = self._value_at
        if start <= event.x < end:
            self.action_step(-1 if event.x < (start + end) // 2 else 1)

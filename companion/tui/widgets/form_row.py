"""A row of a form: its name, what is set, and the keys that change it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static

from companion.tui.widgets.changed_lines import shortened
from companion.tui.widgets.form import Row

LABEL_WIDTH = 16
_STEPS = "steps"
_LEAST_NOTE = 8
"""Columns below which a note tells nothing."""


class FormRow(Static, can_focus=True):
    """Shows a row and asks for its change; the form makes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "screen.row(-1)", "Row", key_display="↑↓"),
        Binding("down", "screen.row(1)", show=False),
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
        """Words were typed over the value, or the cursor left them."""

        row: FormRow

    def __init__(self, row: Row[Any], type_in_line: Callable[[str], object]) -> None:
        """`type_in_line` takes a letter for which this row has no use."""
        super().__init__(markup=False)
        self.row = row
        self._type_in_line = type_in_line
        self.words: str | None = None
        """What is being typed over the value; None if nothing is."""
        self.problem = ""
        """Why it cannot be set; empty if it can."""

    def on_mount(self) -> None:
        """Show what is set."""
        self._draw()

    def show(self, row: Row[Any]) -> None:
        """Show what is set now; what is being typed stays."""
        self.row = row
        self._draw()

    def _draw(self) -> None:
        row = self.row
        text = Text(f"{row.label:<{LABEL_WIDTH}} ")
        cursor = "_" if self.has_focus else ""
        value = row.shown if self.words is None else f"{self.words}{cursor}"
        text.append("  " if row.is_text else "‹ ", _pressed(-1))
        text.append(value or cursor, self._value_style())
        text.append("" if row.is_text else " ›", _pressed(1))
        told = self._told()
        room = self.content_size.width - cell_len(text.plain) - 2
        if told and self.content_size.width and not self.has_focus:
            told = _cut(told, room) if room > _LEAST_NOTE else Text()
        if told:
            text.append("  ").append_text(told)
        self.update(text)

    def _told(self) -> Text:
        """What the row means, or what else it can be, each a place to click."""
        row = self.row
        if row.note or len(row.options) < 2:
            return Text(row.note, "dim")
        here = row.options.index(row.shown)
        others = [
            Text(name, Style(dim=True) + _pressed(at - here))
            for at, name in enumerate(row.options)
            if at != here
        ]
        return Text("or ", "dim").append_text(Text(", ", "dim").join(others))

    def _value_style(self) -> str:
        return "bold reverse" if self.has_focus else "bold"

    @property
    def is_typed(self) -> bool:
        """Whether something was typed that counts; no words are some in a text of one's own."""
        return bool(self.words) or (self._is_text and self.words is not None)

    @property
    def _is_text(self) -> bool:
        return self.row.is_text

    def on_resize(self) -> None:
        """What it means is told whole where the cursor is, elsewhere as far as it fits."""
        self._draw()

    def watch_has_focus(self, has_focus: bool) -> None:
        """Mark the value where the cursor is."""
        super().watch_has_focus(has_focus)
        self._draw()

    def on_blur(self) -> None:
        """What was typed is taken, or stays with the reason why it cannot be."""
        if self.words is not None:
            self.post_message(self.Typed(self))

    def forget_typed(self) -> None:
        """Show the value again instead of what was typed."""
        self.words, self.problem = None, ""

    def action_step(self, by: int) -> None:
        """Ask for the next or the one before."""
        self.forget_typed()
        self.post_message(self.Stepped(self, by))

    def action_far(self, way: int) -> None:
        """Ask for a long step."""
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
        if self.words is None and self._is_text:
            return self.row.shown
        return self.words or ""

    def _type(self, words: str) -> None:
        if self.row.typed is None:
            self._type_in_line(words)
            return
        self.words = words
        self._draw()
        self.post_message(self.Typed(self))

    def on_click(self, event: events.Click) -> None:
        """‹ and › are one step, each option is itself; elsewhere a click only comes here."""
        if (by := event.style.meta.get(_STEPS)) is not None:
            self.action_step(by)


def _pressed(by: int) -> Style:
    """The style of a place where a click goes so many steps."""
    return Style(meta={_STEPS: by})


def _cut(text: Text, width: int) -> Text:
    """As `shortened`, with its places to click."""
    plain = shortened(text.plain, width)
    if plain != text.plain:
        text.truncate(cell_len(plain.removesuffix("…")))
        text.append("…", "dim")
    return text

"""The bottom line of a screen: its keys, as many as have room as whole words, the help always.

One widget, and not one for each key as the toolkit has it: laying out and colouring those takes
a fifth of the time to the first paint, and each change of the keys is sent to the terminal twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, NamedTuple

from rich.cells import cell_len
from rich.style import Style
from rich.text import Text
from textual import events
from textual.screen import Screen
from textual.widget import Widget


class _Key(NamedTuple):
    """One of them."""

    key: str
    shown: str
    """As it is written on a keyboard, or two that belong together."""
    does: str
    is_help: bool
    is_on: bool


class KeyLine(Widget):
    """A footer in which no word is cut. A click on a key does what the key does."""

    ALLOW_SELECT = False
    COMPONENT_CLASSES: ClassVar[set[str]] = {"key-line--key", "key-line--pointed-at"}
    DEFAULT_CSS = """
    KeyLine {
        dock: bottom;
        height: 1;
        color: $footer-foreground;
        background: $footer-background;
        & > .key-line--key {
            color: $footer-key-foreground;
            background: $footer-key-background;
            text-style: bold;
        }
        & > .key-line--pointed-at { background: $block-hover-background; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._keys: list[_Key] = []
        self._pointed_at: str | None = None

    def on_mount(self) -> None:
        """Follow what the keys mean where the focus is."""
        self.screen.bindings_updated_signal.subscribe(self, self._follow)

    def render(self) -> Text:
        """The keys that fit."""
        self._keys = self._keys or list(_shown_keys(self.screen))
        key_style = self.get_component_rich_style("key-line--key")
        pointed_at = self.get_component_rich_style("key-line--pointed-at")
        line = Text(no_wrap=True, end="")
        for key in _that_fit(self._keys, self.size.width):
            begin = len(line)
            line.append(key.shown, key_style)
            line.append(f" {key.does}", Style(dim=not key.is_on))
            if key.key == self._pointed_at:
                line.stylize(Style(bgcolor=pointed_at.bgcolor), begin)
            line.stylize(Style(meta={"pressed": key.key if key.is_on else ""}), begin)
            line.append(" ")
        return line

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """As if the key was pressed."""
        key = event.style.meta.get("pressed")
        if key:
            self.app.simulate_key(key)
        elif key is not None:
            self.app.bell()

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Show which key a click would press."""
        self._point_at(event.style.meta.get("pressed"))

    def on_leave(self) -> None:
        """None."""
        self._point_at(None)

    def _point_at(self, key: str | None) -> None:
        if key != self._pointed_at:
            self._pointed_at = key
            self.refresh()

    def _follow(self, screen: Screen[object]) -> None:
        if screen.app.app_focus and screen is self.screen:
            keys = list(_shown_keys(screen))
            if keys != self._keys:
                self._keys = keys
                self.refresh()


def _shown_keys(screen: Screen[object]) -> Iterator[_Key]:
    """Each action once, by the first of its keys."""
    seen: set[str] = set()
    for _, binding, is_on, _ in screen.active_bindings.values():
        if binding.show and binding.action not in seen:
            seen.add(binding.action)
            shown = screen.app.get_key_display(binding)
            yield _Key(binding.key, shown, binding.description, binding.action == "help", is_on)


def _that_fit(keys: Sequence[_Key], width: int) -> Iterator[_Key]:
    left = width - sum(_columns(key) for key in keys if key.is_help)
    for key in keys:
        if not key.is_help:
            left -= _columns(key)
        if left >= -1 or key.is_help:  # nothing need stand after the last one
            yield key


def _columns(key: _Key) -> int:
    """With the blank after it."""
    return cell_len(f"{key.shown} {key.does}") + 1

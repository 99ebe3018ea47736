"""The bottom line of a screen: its keys, as many as have room as whole words, the help always."""

from __future__ import annotations

from collections.abc import Iterator

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.widget import Widget
from textual.widgets import Footer
from textual.widgets._footer import FooterKey


class KeyLine(Footer):
    """A footer in which no word is cut."""

    _fitted = 0
    """Columns it was made for."""

    def __init__(self) -> None:
        super().__init__(compact=True)

    def compose(self) -> ComposeResult:
        """The first ones that fit beside the help."""
        keys = list(super().compose())
        self._fitted = self.app.size.width
        yield from _that_fit(keys, self._fitted)

    def on_resize(self, event: events.Resize) -> None:
        """More keys, or fewer."""
        if self._fitted and event.size.width != self._fitted:
            self.call_after_refresh(self.recompose)


def _that_fit(keys: list[Widget], width: int) -> Iterator[Widget]:
    left = width - sum(_columns(key) for key in keys if _is_help(key))
    for key in keys:
        if not _is_help(key):
            left -= _columns(key)
        if left >= -1 or _is_help(key):  # nothing need stand after the last one
            yield key


def _is_help(key: Widget) -> bool:
    return isinstance(key, FooterKey) and key.action == "help"


def _columns(key: Widget) -> int:
    """With the blank after it."""
    if not isinstance(key, FooterKey):
        return 0
    return cell_len(f"{key.key_display} {key.description}") + 1

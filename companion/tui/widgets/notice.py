"""The line where a screen says what came of a key, and what went wrong."""

from __future__ import annotations

from rich.text import Text
from textual.widgets import Static

from companion.errors import CompanionError


class Notice(Static):
    """One or two lines above the footer; empty as long as there is nothing to say."""

    DEFAULT_CSS = """
    Notice {
        height: auto;
        max-height: 3;
        padding: 0 1;
        display: none;
        &.-said { display: block; }
        &.-error { color: $error; text-style: bold; }
    }
    """

    text = ""
    """What is shown."""

    def say(self, text: str) -> None:
        """Show a plain sentence."""
        self._show(text, is_error=False)

    def show_error(self, problem: CompanionError, besides: str = "") -> None:
        """Show what went wrong, marked so that it is seen without colour; `besides` is a
        sentence on what it means here."""
        self._show(f"! {problem.sentence()} {besides}".rstrip(), is_error=True)

    def clear(self) -> None:
        """Say nothing."""
        self._show("", is_error=False)

    def _show(self, text: str, *, is_error: bool) -> None:
        self.text = text
        self.update(Text(text))
        self.set_class(bool(text), "-said")
        self.set_class(is_error, "-error")

"""The top line of every screen: where one is on the left, a short fact on the right.

One widget for all screens, so that a player always finds both in the same place
and a long title is cut before it can push the right-hand fact off the line.
"""

from __future__ import annotations

from rich.cells import cell_len, set_cell_size
from rich.text import Text
from textual.reactive import reactive
from textual.widget import Widget

from companion.tui.widgets.changed_lines import shortened


class Heading(Widget):
    """One line, `title` at the left and `right` at the right edge; both may be set later."""

    DEFAULT_CSS = """
    Heading {
        height: 1;
        dock: top;
        padding: 0 1;
        background: $panel;
        color: $foreground;
        text-style: bold;
    }
    """

    title: reactive[str] = reactive("")
    right: reactive[str] = reactive("")

    def __init__(self, title: str, right: str = "") -> None:
        super().__init__()
        self.set_reactive(Heading.title, title)
        self.set_reactive(Heading.right, right)

    def render(self) -> Text:
        """Both texts on one line; the left one gives way."""
        return Text(line_of(self.title, self.right, self.size.width), no_wrap=True)


def line_of(left: str, right: str, width: int) -> str:
    """`left` and `right` spread over `width` columns, `left` cut with … where it must be."""
    right = right if cell_len(right) <= width else set_cell_size(right, width)
    room = width - cell_len(right) - (2 if right else 0)
    left = shortened(left, room) if room > 1 else ""
    return left + " " * (width - cell_len(left) - cell_len(right)) + right

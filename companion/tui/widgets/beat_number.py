"""The beat to be seen from a music stand: its number in large blocks, filled while it is fresh.

A number alone would not move in a bar of one beat, and a flash alone would not say which
beat it is. Both are shapes, so that no colour is needed.
"""

from __future__ import annotations

from rich.text import Text
from textual.reactive import reactive
from textual.widget import Widget

HEIGHT = 5
"""Rows of a number."""
FRESH, FADED = "█", "░"
"""What a number is made of at the beginning of a beat, and after that."""

_SHAPES = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
}


def number_blocks(number: int, fill: str, scale: int = 1) -> str:
    """A number in five rows of blocks, two columns a block; or so many times larger."""
    rows = (" ".join(_SHAPES[digit][row] for digit in str(number)) for row in range(HEIGHT))
    drawn = ["".join(sign * 2 * scale for sign in row).replace("#", fill) for row in rows]
    return "\n".join(row for row in drawn for _ in range(scale))


class BeatNumber(Widget):
    """The number of the beat that is on."""

    DEFAULT_CSS = """
    BeatNumber { width: 16; height: 5; padding: 0 2; color: $accent; }
    """

    number: reactive[int] = reactive(0)
    """The beat's number in its bar; 0 shows nothing."""
    is_fresh: reactive[bool] = reactive(False)
    """Whether the beat has just begun."""

    def render(self) -> Text:
        """The number in blocks."""
        if not self.number:
            return Text("")
        return Text(number_blocks(self.number, FRESH if self.is_fresh else FADED))

"""Text of which only the lines that changed are painted again: over a slow line to the
terminal, what is sent for each key is what a player waits for."""

from __future__ import annotations

from itertools import zip_longest

from rich.cells import cell_len, set_cell_size
from rich.text import Text
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget
from textual.widgets import Static


def shortened(text: str, width: int) -> str:
    """One line of at most `width` columns, cut between words, with … where something was."""
    if cell_len(text) <= width:
        return text
    head, space, _ = set_cell_size(text, max(1, width - 1)).rpartition(" ")
    if not space or not head.strip():  # one long word
        head = set_cell_size(text, max(0, width - 1))
    return f"{head.rstrip()} …" if space and cell_len(head.rstrip()) + 2 <= width else f"{head}…"


class OneLine(Static):
    """A line that is shortened by whole words; what is between two blanks stays together."""

    DEFAULT_CSS = "OneLine { height: 1; text-wrap: nowrap; }"

    def __init__(self, text: str = "", *, id: str | None = None, classes: str = "") -> None:  # noqa: A002
        super().__init__(id=id, classes=classes, markup=False)
        self.text = text

    def update(self, content: object = "", *, layout: bool = False) -> None:
        """Show another line."""
        self.text = str(content)
        self._fit()

    def on_resize(self) -> None:
        """As much of it as there is room for."""
        self._fit()

    def _fit(self) -> None:
        width = self.content_size.width
        super().update(Text(without_last(self.text, width)), layout=False)


def without_last(text: str, width: int) -> str:
    """A row of signs with their meanings, two blanks between them: those that have room."""
    if cell_len(text) <= width or "  " not in text:
        return shortened(text, width)
    shown = text
    while cell_len(shown) > width and "  " in shown:
        shown = shown.rpartition("  ")[0].rstrip()
    return shortened(shown, width)


def items_wrapped(text: str, width: int) -> str:
    """The same on as many lines as it takes, none of them broken inside an item."""
    lines: list[str] = []
    for item in text.split("  "):
        if lines and cell_len(lines[-1]) + 2 + cell_len(item) <= width:
            lines[-1] += f"  {item}"
        else:
            lines.append(item)
    return "\n".join(lines)


class ChangedLines(Widget):
    """Paragraphs that are wrapped, and of which the lines that change are painted."""

    def __init__(self) -> None:
        super().__init__()
        self._told = Text()
        self._lines: list[Text] = []

    @property
    def text(self) -> str:
        """What is shown."""
        return self._told.plain

    def tell(self, told: Text) -> None:
        """Show something else."""
        self._told = told
        width = self.size.width
        if not width:  # it has no room yet: `on_resize` comes
            return
        before, self._lines = self._lines, self._whole_paragraphs(width)
        for y, (one, other) in enumerate(zip_longest(before, self._lines)):
            if one != other or (one and other and one.spans != other.spans):
                self.refresh(Region(0, y, width, 1))

    def _whole_paragraphs(self, width: int) -> list[Text]:
        """As many from the first on as have room to their end."""
        lines: list[Text] = []
        for paragraph in self._told.split("\n", allow_blank=True):
            more = list(paragraph.wrap(self.app.console, width))
            if lines and len(lines) + len(more) > self.size.height:
                break
            lines += more
        return lines

    def on_resize(self, _: events.Resize) -> None:
        """Another width is other lines."""
        self.tell(self._told)
        self.refresh()

    def render_line(self, y: int) -> Strip:
        """One line."""
        width, style = self.size.width, self.rich_style
        if y >= len(self._lines):
            return Strip.blank(width, style)
        line = self._lines[y].copy()
        line.stylize_before(style)
        line.end = ""
        return Strip(line.render(self.app.console)).adjust_cell_length(width, style)

"""What a wide terminal shows beside the main thing of a screen.

It is looked for in a thread, and not at all while the terminal is too narrow to show it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from rich.console import Console
from rich.text import Text
from textual import work
from textual.widget import Widget
from textual.widgets import Static

from companion.errors import CompanionError

WIDE = 140
"""Columns from which there is room beside the main thing (-wide, -broad)."""

Look = Callable[[int, int], Iterable[str | Text]]
"""Makes the lines for so many columns and rows. Raises CompanionError."""


class Beside(Static):
    """Lines of text; app.tcss says from which width on a screen has room for them."""

    def __init__(self, *, id: str | None = None, classes: str = "") -> None:  # noqa: A002
        super().__init__(id=id, classes=f"beside {classes}", markup=False)
        self._look: Look | None = None
        self.text = ""
        """What is shown."""

    def show(self, look: Look | None) -> None:
        """Show other lines; None shows nothing."""
        self._look = look
        if look is None:
            self._tell(None, Text())
        elif self.size:
            self._run(look, *self.content_size)

    def on_resize(self) -> None:
        """Other lines have room."""
        self.show(self._look)

    @work(thread=True, group="beside")
    def _run(self, look: Look, width: int, height: int) -> None:
        told = Text()
        if self._look is look:  # while a key is held down, only where it comes to rest
            try:
                lines = list(look(width, height))
            except CompanionError as problem:
                lines = [problem.sentence()]
            told = Text("\n").join(_that_fit(lines, width, height, self.app.console))
        self.app.call_from_thread(self._tell, look, told)

    def _tell(self, look: Look | None, told: Text) -> None:
        if self._look is look and self.is_attached:
            self.text = told.plain
            self.update(told)


def _that_fit(
    lines: Iterable[str | Text], width: int, height: int, console: Console
) -> Iterator[Text]:
    """No sentence is cut: the first that has no room is the end."""
    for line in lines:
        text = line if isinstance(line, Text) else Text(line)
        height -= len(text.wrap(console, max(1, width)))
        if height < 0:
            return
        yield text


def is_wide(screen: Widget) -> bool:
    """Whether there is room beside the main thing."""
    return screen.has_class("-wide") or screen.has_class("-broad")


def headline(text: str) -> Text:
    """Over a group of lines."""
    return Text(text, "bold")

"""While a score is read: what is being done, for how long, and a way to stop it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.score.reader_error import ReadingStopped
from companion.score.readers.opening import Opened
from companion.session.background_reading import Reading
from companion.tui.widgets.key_line import KeyLine


class ReadingScreen(ModalScreen[Opened | CompanionError | None]):
    """Reads one score; answers with it, with why it cannot be read, or None after Escape."""

    CSS_PATH = "reading_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "stop", "Stop reading")]

    @dataclass
    class Reached(Message):
        """A step the child has come to."""

        step: str

    @dataclass
    class Ended(Message):
        """What came of it."""

        outcome: Opened | CompanionError | None

    def __init__(self, path: Path, folders: Folders) -> None:
        super().__init__()
        self.path = path
        self.reading = Reading(path, folders)
        self.step = "opening the file"
        self._began = monotonic()

    def compose(self) -> ComposeResult:
        """Two lines in a box."""
        with Vertical(id="reading-box"):
            yield Static(Text(f"Reading {self.path.name}", no_wrap=True, overflow="ellipsis"))
            yield Static(id="reading-step")
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin, and look at the time twice a second."""
        self._tell()
        self.set_interval(0.5, self._tell)
        self._read()

    def on_unmount(self) -> None:
        """Leave no child behind when the app is closed meanwhile."""
        self.reading.stop()

    def action_stop(self) -> None:
        """End the child."""
        self.step = "stopping"
        self._tell()
        self.reading.stop()

    @work(thread=True)
    def _read(self) -> None:
        """In a thread, which speaks to the screen by messages only."""
        outcome: Opened | CompanionError | None
        try:
            outcome = self.reading.wait(lambda step: self._say(self.Reached(step)))
        except ReadingStopped:
            outcome = None
        except CompanionError as problem:
            outcome = problem
        self._say(self.Ended(outcome))

    def _say(self, message: Message) -> None:
        self.post_message(message)

    def on_reading_screen_reached(self, message: Reached) -> None:
        """Show the step."""
        self.step = message.step
        self._tell()

    def on_reading_screen_ended(self, message: Ended) -> None:
        """Hand back what came of it."""
        self.dismiss(message.outcome)

    def _tell(self) -> None:
        seconds = int(monotonic() - self._began)
        text = f"{self.step} … {seconds} s" if seconds else f"{self.step} …"
        self.query_one("#reading-step", Static).update(Text(text))

"""While a folder of scores is indexed: how far it is, and a way to stop it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import ProgressBar, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.library.index import update_index
from companion.library.indexed_score import shown_text
from companion.tui.widgets.key_line import KeyLine
from companion.wording.phrases import counted


class IndexingScreen(ModalScreen[str | CompanionError]):
    """Indexes one folder; answers with what is known of it now, in a sentence, or its trouble."""

    CSS_PATH = "indexing_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "stop", "Stop", key_display="esc")]
    HELP: ClassVar[list[tuple[str, str]]] = [  # type: ignore[assignment]
        ("Escape", "stop; what was read so far is kept, and the next time goes on from there"),
    ]

    @dataclass
    class Reached(Message):
        """So many files of so many are read; 0 while they are still counted."""

        done: int
        total: int
        name: str

    @dataclass
    class Ended(Message):
        """What came of it."""

        outcome: str | CompanionError

    def __init__(self, folder: Path, folders: Folders) -> None:
        super().__init__()
        self.folder = folder
        self.folders = folders
        self.is_stopped = False

    def compose(self) -> ComposeResult:
        """The folder, a bar, the last file."""
        with Vertical(id="indexing-box"):
            yield Static(f"Indexing {shown_text(self.folder.name)}", markup=False)
            yield ProgressBar(id="indexing-bar", show_eta=False)
            yield Static("Looking through the folder …", id="indexing-file", markup=False)
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin."""
        self._read()

    def on_unmount(self) -> None:
        """Read no further if the app is closed meanwhile."""
        self.is_stopped = True

    def action_stop(self) -> None:
        """Stop after the files that are being read."""
        self.is_stopped = True
        self.query_one("#indexing-file", Static).update("Stopping …")

    @work(thread=True)
    def _read(self) -> None:
        """In a thread, which speaks to the screen by messages only."""
        outcome: str | CompanionError
        try:
            index = update_index(
                self.folders, self.folder, progress=self._tell, cancelled=lambda: self.is_stopped
            )
        except CompanionError as problem:
            outcome = problem
        else:
            outcome = f"{counted(len(index.scores), 'score')} indexed in {self.folder}"
            if index.unreadable:
                outcome += f"; {counted(len(index.unreadable), 'file')} could not be read"
            outcome += ". Stopped: index it again to go on." if self.is_stopped else "."
        self.post_message(self.Ended(outcome))

    def _tell(self, done: int, total: int, name: str) -> None:
        self.post_message(self.Reached(done, total, name))

    def on_indexing_screen_reached(self, message: Reached) -> None:
        """Show how far it is."""
        if self.is_stopped:
            return
        if message.done:
            told = f"{message.done} of {message.total}, {message.name}"
            self.query_one(ProgressBar).update(total=message.total, progress=message.done)
        else:
            told = f"{counted(message.total, 'file')} found, {message.name or self.folder.name}"
        self.query_one("#indexing-file", Static).update(
            Text(told, no_wrap=True, overflow="ellipsis")
        )

    def on_indexing_screen_ended(self, message: Ended) -> None:
        """Hand back what came of it."""
        self.dismiss(message.outcome)

"""A passage as an exercise: its title, and the file a teacher can send or go on writing."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from companion.errors import CompanionError
from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.session.open_score import OpenScore
from companion.session.write_exercise import name_of_file, title_of_passage, write_passage
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice


class NewExerciseScreen(ModalScreen[str | None]):
    """Answers with what was written, in a sentence, or None after Escape."""

    CSS_PATH = "new_exercise_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "dismiss", "Back", key_display="esc"),
    ]

    def __init__(self, open_score: OpenScore, passage: Passage, folders: Folders) -> None:
        super().__init__()
        self.open_score = open_score
        self.passage = passage
        self.folders = folders

    def compose(self) -> ComposeResult:
        """Two fields, and what comes of them."""
        title = title_of_passage(self.open_score, self.passage)
        with Vertical(id="exercise-of-box"):
            yield Static("Title")
            yield Input(title, id="exercise-of-title")
            yield Static("File; the score is copied next to it")
            yield Input(name_of_file(title), id="exercise-of-file")
            yield Static(
                "Enter writes it, with tempo and date of the goal (G) or the score's own tempo. "
                "Edit the text file in any editor; companion exercise pack makes one file "
                "to send."
            )
            yield Notice()
        yield KeyLine()

    def on_mount(self) -> None:
        """Begin with the title."""
        self.query_one("#exercise-of-box").border_title = "These bars as an exercise"
        self.title_field.focus()

    @property
    def title_field(self) -> Input:
        """The field for the title."""
        return self.query_one("#exercise-of-title", Input)

    @property
    def file_field(self) -> Input:
        """The field for the file."""
        return self.query_one("#exercise-of-file", Input)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """From the title to the file, from there out; refused in place."""
        event.stop()
        title, typed = self.title_field.value, self.file_field.value
        if event.input is self.title_field:
            self.file_field.focus()
            return
        try:
            path = write_passage(self.folders, self.open_score, self.passage, title, typed)
        except CompanionError as problem:
            self.query_one(Notice).show_error(problem)
        else:
            self.dismiss(f"ExerciseFile: {path}")

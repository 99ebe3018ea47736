"""A passage as an exercise: its title, and the file a teacher can send or go on writing."""

from __future__ import annotations

from dataclasses import dataclass, replace
from os.path import exists

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.score.passage import Passage
from companion.session.goals import goal_at
from companion.session.open_score import OpenScore
from companion.session.suggested_passages import bars_of_passage
from companion.session.write_exercise import (
    exercise_path,
    name_of_file,
    title_of_passage,
    write_passage,
)
from companion.tui.screens.form_screen import FormScreen
from companion.tui.widgets.form import Form, Row, text_row, without_line
from companion.wording.phrases import written_told


@dataclass(frozen=True, slots=True)
class NewExercise:
    """What is asked."""

    title: str
    file: str


class NewExerciseScreen(FormScreen[NewExercise, str]):
    """Answers with what was written, in a sentence, or None after Escape."""

    def __init__(self, open_score: OpenScore, passage: Passage, folders: Folders) -> None:
        title = title_of_passage(open_score, passage)
        form = _new_exercise_form(open_score, passage, folders)
        super().__init__(form, NewExercise(title, name_of_file(title)))


def _new_exercise_form(
    open_score: OpenScore, passage: Passage, folders: Folders
) -> Form[NewExercise, str]:
    def told(asked: NewExercise) -> str:
        path = exercise_path(asked.file)
        if exists(path):
            raise RequestError("this file already exists", next="Choose another name.")
        try:
            has_goal = goal_at(folders, bars_of_passage(open_score, passage)) is not None
        except CompanionError:
            has_goal = False
        asks = "your goal's tempo and day" if has_goal else "the score's own tempo"
        return (
            f"Writes it with {asks}, and copies {open_score.path.name} next to it. Edit the "
            "text file in any editor; companion exercise pack makes one file to send."
        )

    def write(asked: NewExercise) -> str:
        path = write_passage(folders, open_score, passage, asked.title, asked.file)
        return written_told(path)

    return without_line("These bars as an exercise", _rows, told, write, "Enter writes it")


def _rows(asked: NewExercise) -> list[Row[NewExercise]]:
    return [
        text_row("Title", asked.title, lambda title: replace(asked, title=title.strip())),
        text_row("File", asked.file, lambda file: replace(asked, file=file.strip())),
    ]

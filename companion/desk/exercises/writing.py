"""Writing an exercise: from answers to a few questions, or from a passage on the stand.

The file is written for its author to go on with in an editor, so it holds what was asked
for and nothing else; a score it needs is copied beside it, because only there a student
will have it, too.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from companion.desk.exercises.finding import content_of
from companion.desk.exercises.packing import write_whole
from companion.desk.stand import Stand
from companion.errors import CompanionError, RequestError
from companion.exercise.exercise import Drill, Exercise
from companion.exercise.file.form import faults_of_form
from companion.exercise.file.keys import EXERCISE, FORMAT
from companion.exercise.file.plain import exercise_from
from companion.exercise.file.reading import read_exercise
from companion.exercise.file.writing import toml_of
from companion.exercise.pack.form import is_plain_path
from companion.score.address import span_name
from companion.score.passage import Passage


def exercise_of_passage(stand: Stand, passage: Passage, drill: Drill, title: str = "") -> Exercise:
    """An exercise for a passage on the stand; `drill` brings tempo, click and goal."""
    bars = span_name(passage.clock, passage.first, passage.last)
    return Exercise(
        title=title or f"{stand.score.title}, {bars}",
        drills=(
            replace(
                drill,
                pattern="",
                abc="",
                score=stand.path.name,
                part=passage.part_name,
                bars=f"{passage.first}-{passage.last}",
            ),
        ),
    )


def exercise_answered(answers: Mapping[str, Any]) -> Exercise:
    """An exercise of one drill from answers by key, as the file would have them.

    The exercise's own keys and the drill's stand side by side; `goal` is a table. Raises
    RequestError naming the first answer that is none.
    """
    own = {key.name for key in EXERCISE.keys if key.name != "drill"}
    plain = {name: value for name, value in answers.items() if name in own}
    drill = {name: value for name, value in answers.items() if name not in own}
    made = {"format": FORMAT, **plain, "drill": [drill]}
    for found in faults_of_form(made, EXERCISE):
        raise RequestError(found.what, next=found.next)
    return exercise_from(made)


def write_exercise(
    exercise: Exercise, path: Path, scores: tuple[Path, ...] = (), *, again: bool = False
) -> Path:
    """Write an exercise file and copy its scores beside it. Returns where it lies.

    Raises ExerciseError where what was asked for is none, CompanionError where a file is
    there already (unless `again`) or cannot be written.
    """
    if path.suffix.casefold() != ".toml":
        path = path.with_name(f"{path.name}.toml")
    content = toml_of(exercise).encode("utf-8", "backslashreplace")
    read_exercise(content, path.name)
    if path.exists() and not again:
        raise CompanionError(
            "this file is there already", where=str(path), next="Choose another name."
        )
    for score in scores:
        _copy(score, path.parent / score.name)
    write_whole(path, content)
    return path


def beside(score: Path, exercise: Path) -> tuple[str, tuple[Path, ...]]:
    """How an exercise file names a score, and whether it has to be copied beside it first.

    Raises CompanionError where its name would not do on every system.
    """
    inside = os.path.relpath(score.absolute(), exercise.absolute().parent).replace(os.sep, "/")
    if is_plain_path(inside):
        return inside, ()
    if not is_plain_path(score.name):
        raise CompanionError(
            "a score cannot be called so on every system", where=score.name, next="Rename it."
        )
    return score.name, (score,)


def _copy(score: Path, place: Path) -> None:
    content = content_of(score)
    if place.exists():
        if place.read_bytes() != content:
            raise CompanionError(
                "another file of that name lies beside the exercise",
                where=str(place),
                next="Rename the score, or choose another folder.",
            )
        return
    write_whole(place, content)

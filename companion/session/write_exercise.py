"""Writing an exercise: from answers to a few questions, or from a passage of an open score.

The file is written for its author to go on with in an editor, so it holds what was asked
for and nothing else; a score it needs is copied next to it, because only there a student
will have it, too.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from os.path import exists
from pathlib import Path
from typing import Any

from companion.errors import CompanionError, RequestError
from companion.exercise.drill_on_score import FILE_NAME, scores_beside
from companion.exercise.exercise_check import drills_on_scores
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.exercise.file.exercise_file import (
    ExerciseFile,
    exercise_from,
    read_exercise,
    write_exercise_text,
)
from companion.exercise.file.exercise_schema import EXERCISE, FORMAT
from companion.exercise.file.faults import ExerciseError, form_faults
from companion.exercise.pack import (
    ENDING,
    PackRevision,
    identity,
    is_pack,
    is_plain_path,
    pack,
    unpack,
)
from companion.files.folders import Folders
from companion.files.score_paths import as_path, whole_path
from companion.files.spare_folder import spare_folder
from companion.files.whole_file import refuse_untyped, write_whole
from companion.score.bar_numbers import span_name
from companion.score.passage import Passage
from companion.session.goals import goal_at
from companion.session.open_exercise import CheckedExercise, content_of
from companion.session.open_score import OpenScore
from companion.session.suggested_passages import bars_of_passage


def exercise_of_passage(
    open_score: OpenScore, passage: Passage, drill: ExerciseDrill, title: str = ""
) -> Exercise:
    """An exercise for a passage of an open score; `drill` brings tempo, click and goal."""
    bars = span_name(passage.clock, passage.first, passage.last)
    return Exercise(
        title=title or f"{open_score.score.title}, {bars}",
        drills=(
            replace(
                drill,
                pattern="",
                abc="",
                score=open_score.path.name,
                part=passage.part_name,
                bars=bars.replace("–", "-"),
            ),
        ),
    )


def exercise_answered(answers: Mapping[str, Any]) -> Exercise:
    """An exercise of one drill from answers by key, as the file would have them.

    The exercise's own keys and the drill's stand side by side; `goal` is a table. Raises
    RequestError naming the first answer that is none.
    """
    own = EXERCISE["properties"]
    plain = {name: value for name, value in answers.items() if name in own}
    drill = {name: value for name, value in answers.items() if name not in own}
    made = {"format": FORMAT, **plain, "drill": [drill]}
    for found in form_faults(made):
        raise RequestError(found.what, next=found.next)
    return exercise_from(made)


def write_exercise(
    exercise: Exercise,
    path: Path,
    scores: tuple[Path, ...] = (),
    *,
    again: bool = False,
    made_by: str = "",
) -> Path:
    """Write an exercise file and copy its scores next to it. Returns where it lies.

    `made_by`, the command that made it, stands as a remark at its top. Nothing is written
    that could not be played: parts, bars and notes are looked up first.

    Raises ExerciseError if what was asked for is none, CompanionError where a file is
    there already (unless `again`) or cannot be written.
    """
    path = _as_exercise(path)
    remark = f"# {made_by}\n" if made_by else ""
    text = remark + write_exercise_text(exercise)
    content = text.encode("utf-8", "backslashreplace")
    _check(read_exercise(content, path.name), path, scores)
    if exists(path) and not again:
        raise CompanionError(
            "this file already exists", where=str(path), next="Choose another name."
        )
    copied: list[Path] = []
    try:
        for score in scores:
            if _copy(score, path.parent / score.name):
                copied.append(path.parent / score.name)
        write_whole(path, content)
    except CompanionError:
        for copy in copied:
            copy.unlink(missing_ok=True)
        raise
    return path


def _as_exercise(path: Path) -> Path:
    if path.suffix.casefold() == ".toml":
        return path
    return path.with_name(f"{path.name}.toml")


def exercise_path(typed: str) -> Path:
    """Where an exercise is written if this is typed. Raises RequestError for no name."""
    if not typed.strip():
        raise RequestError("the file has no name", next="Type one, such as ~/exercise.toml.")
    return _as_exercise(as_path(typed.strip()))


def _check(file: ExerciseFile, path: Path, scores: tuple[Path, ...]) -> None:
    """That everything it names is there. Raises RequestError with the first thing that is not."""
    sources = {score.name: score for score in scores}
    with spare_folder("the exercise could not be checked") as spare:
        for name in scores_beside(file.exercise):
            place = spare / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(content_of(sources.get(name, path.parent / name)))
        try:
            drills_on_scores(file, spare, spare / "made")
        except ExerciseError as error:
            first = error.faults[0]
            raise RequestError(first.what, next=first.next) from None


def score_name_in(score: Path, exercise: Path) -> tuple[str, tuple[Path, ...]]:
    """How an exercise file names a score, and whether it has to be copied next to it first.

    Raises CompanionError if its name would not do on every system.
    """
    inside = os.path.relpath(whole_path(score), whole_path(exercise).parent).replace(os.sep, "/")
    if is_plain_path(inside):
        return inside, ()
    if not is_plain_path(score.name):
        raise CompanionError(
            "this name cannot be used on every system", where=score.name, next="Rename it."
        )
    return score.name, (score,)


def _copy(score: Path, place: Path) -> bool:
    """Whether it had to be copied."""
    content = content_of(score)
    if exists(place):
        if place.read_bytes() != content:
            raise CompanionError(
                "another file of that name is next to the exercise",
                where=str(place),
                next="Rename the score, or choose another folder.",
            )
        return False
    write_whole(place, content)
    return True


# A passage of an open score written down as an exercise, its goal and date with it.


_LONGEST_NAME = 40


def file_name_of(title: str) -> str:
    """A file's name after a title, without an ending: `three_over_two`."""
    words = "".join(letter if letter.isalnum() else " " for letter in title.casefold()).split()
    return "_".join(words)[:60] or "exercise"


def title_of_passage(open_score: OpenScore, passage: Passage) -> str:
    """What such an exercise is called if no title is given."""
    return exercise_of_passage(open_score, passage, ExerciseDrill()).title


def name_of_file(title: str) -> str:
    """A file in the home folder, named after the title: `~/study-13-20.toml`."""
    plain = re.sub(r"[\W_]+", "-", title.casefold())[:_LONGEST_NAME].strip("-")
    return f"~/{plain or 'exercise'}.toml"


def write_passage(
    folders: Folders, open_score: OpenScore, passage: Passage, title: str, typed: str
) -> Path:
    """Write it to a typed path, the score next to it. Returns where it lies.

    The goal that is set for just these bars becomes the exercise's, its day the day it is
    due. Raises RequestError for no path, CompanionError where it cannot be written.
    """
    path = exercise_path(typed)
    found = goal_at(folders, bars_of_passage(open_score, passage))
    goal = DrillGoal() if found is None else DrillGoal(tempo=found[0].tempo)
    made = exercise_of_passage(
        open_score, passage, ExerciseDrill(goal=goal), " ".join(title.split())
    )
    if found is not None:
        made = replace(made, due=found[1])
    return write_exercise(made, path, (open_score.path,))


# An exercise with its scores into one file that can be sent.


def write_pack(
    checked: CheckedExercise, path: Path, corrects: Path | None = None, *, is_another: bool = False
) -> tuple[Path, PackRevision]:
    """Write the pack, its name ending as packs do. Returns where it lies, and which version.

    It corrects the exercise of the same title that lies there, unless it `is_another`, or
    the pack `corrects`, whatever that is called. Raises RequestError if a pack with another
    title lies there and nothing was said, CompanionError if it cannot be written; then
    nothing is.
    """
    if path.suffix.casefold() != ENDING:
        path = path.with_name(path.name + ENDING)
        refuse_untyped([path])
    before = None
    if corrects is not None:
        before = _packed(content_of(corrects), corrects.name)
    elif exists(path) and not is_another:
        content = content_of(path)
        before = _packed(content, path.name) if is_pack(content) else None
        if before is not None and before.title not in ("", checked.file.exercise.title):
            raise RequestError(
                f"another exercise, “{before.title}”, is in {path.name}",
                next=f"Add --corrects {path.name} if this corrects it, --new if it is another.",
            )
    revision = _next_revision(before, checked)
    write_whole(path, pack(checked.files, revision if revision.number > 1 else None))
    return path, revision


@dataclass(frozen=True, slots=True)
class _Packed:
    """A pack that was written before."""

    id: str
    title: str
    """Empty if its exercise cannot be read."""
    revision: PackRevision


def _packed(content: bytes, name: str) -> _Packed:
    """Raises PackError if it is none."""
    files, revision = unpack(content, name)
    try:
        title = read_exercise(files[FILE_NAME], name).exercise.title
    except CompanionError:
        title = ""
    return _Packed(identity(files), title, revision)


def _next_revision(before: _Packed | None, checked: CheckedExercise) -> PackRevision:
    id_ = identity(checked.files)
    if before is None:
        return checked.revision
    if before.id == id_:
        return before.revision
    return PackRevision(before.revision.first, before.revision.number + 1)

"""Opening an exercise: from a file that came by mail to the student's list.

Everything is made ready in a folder beside the list and moved into it in one step, so
that an exercise is in the list whole or not at all, whatever happens meanwhile.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from tempfile import mkdtemp

from companion.errors import CompanionError
from companion.exercise.assignment import (
    FILES,
    MADE,
    RECORD,
    Assignment,
    folder_name,
    identity,
    read_assignment,
    write_record,
)
from companion.exercise.drill_goal import target_of
from companion.exercise.drill_scores import write_made
from companion.files.folders import Folders
from companion.practice.attempt import now
from companion.session.exercises.check_exercise import CheckedExercise, check_exercise, lay_out
from companion.session.exercises.find_exercise import student_folder

BEING_OPENED = ".opening-"
"""How the name of a folder begins that is not in the list yet."""


def open_exercise(path: Path, folders: Folders) -> tuple[Assignment, bool]:
    """Take an exercise file or a pack into the list; and whether it was not there before.

    Raises ExerciseError, PackError or CompanionError where it cannot be; then nothing is.
    """
    checked = check_exercise(path, folders)
    id_ = identity(checked.files)
    place = student_folder(folders) / folder_name(id_)
    if (place / RECORD).exists():
        return read_assignment(place), False
    try:
        _take_in(checked, id_, place, path.name)
    except OSError as fault:
        raise CompanionError(
            f"the exercise could not be kept ({fault.strerror})",
            where=str(place.parent),
            next="Make room on the disk or check the permissions, then open it again.",
        ) from None
    return read_assignment(place), True


def _take_in(checked: CheckedExercise, id_: str, place: Path, came_from: str) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    ready = Path(mkdtemp(dir=place.parent, prefix=BEING_OPENED))
    try:
        lay_out(checked.files, ready / FILES)
        write_made(checked.written.exercise, ready / MADE)
        targets = [target_of(laid) for laid in checked.laid]
        record = write_record(id_, now(), came_from, targets)
        (ready / RECORD).write_bytes(record)
        if place.exists():  # a folder without its record: what is left of an older accident
            shutil.rmtree(place)
        os.rename(ready, place)
    finally:
        shutil.rmtree(ready, ignore_errors=True)


def close_exercise(assignment: Assignment) -> None:
    """Take an exercise off the list. What the log holds of it stays.

    Raises CompanionError where it cannot be removed.
    """
    try:
        shutil.rmtree(assignment.folder)
    except OSError as fault:
        raise CompanionError(
            f"the exercise could not be taken off the list ({fault.strerror})",
            where=str(assignment.folder),
            next="Check the permissions.",
        ) from None

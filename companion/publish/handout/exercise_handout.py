"""A handout from an exercise: the teacher's words, then every drill."""

from __future__ import annotations

from pathlib import Path

from companion.errors import RequestError
from companion.exercise.drill_goal import target_of
from companion.exercise.drill_on_score import DrillOnScore
from companion.exercise.instruments import Instrument
from companion.files.folders import Folders
from companion.publish.handout.handout import (
    WrittenPage,
    handout_file_name,
    is_page,
    made_folder,
    write_handout,
)
from companion.publish.handout.lesson import Handout, Lesson
from companion.session.open_exercise import CheckedExercise, check_exercise, drills_on_disk
from companion.session.open_score import Choices, laid_with_choices
from companion.session.starting_tempo import TempoSource
from companion.wording.exercise_sentences import target_told
from companion.wording.phrases import day_told

_MOST_DRILLS = 3
"""Drills on one page: the sounds of more would make it too large to send."""


def hand_out_exercise(
    file: Path, out: Path, folders: Folders, instrument: Instrument | None = None
) -> list[WrittenPage]:
    """Pages for an exercise file or a pack; several where it has many drills.

    Raises ExerciseError with every fault in it, CompanionError if a file cannot be
    written.
    """
    checked = check_exercise(file, folders, instrument)
    exercise, drills = checked.file.exercise, len(checked.drills)
    is_one = is_page(out)
    if is_one and drills > _MOST_DRILLS:
        raise RequestError(f"{drills} drills are too many for one page", next="Name a folder.")
    if not is_one:
        made_folder(out)
    made = []
    with drills_on_disk(checked, folders) as on_scores:
        lessons = tuple(_lesson(one, drills) for one in on_scores)
        for at in range(0, drills, _MOST_DRILLS):
            number = f"-{at // _MOST_DRILLS + 1}" if drills > _MOST_DRILLS else ""
            path = out if is_one else out / f"{handout_file_name(exercise.title)}{number}.html"
            handout = _handout(checked, lessons[at : at + _MOST_DRILLS])
            made.append(write_handout(handout, path, folders))
    return made


def _handout(checked: CheckedExercise, lessons: tuple[Lesson, ...]) -> Handout:
    exercise = checked.file.exercise
    return Handout(
        exercise.title,
        f"for {exercise.whom}" if exercise.whom else "",
        lessons,
        exercise.instructions,
        f"Due on {day_told(exercise.due)}." if exercise.due else "",
    )


def _lesson(on_score: DrillOnScore, drills: int) -> Lesson:
    target, drill = target_of(on_score), on_score.drill
    return Lesson(
        laid_with_choices(on_score.opened, Choices()),
        on_score.passage,
        target.tempo,
        TempoSource.EXERCISE,
        title=drill.title or (f"Drill {on_score.number}" if drills > 1 else "The drill"),
        goal=target_told(target),
        listen=drill.listen,
    )

"""A handout from an exercise: the teacher's words, then every drill."""

from __future__ import annotations

from pathlib import Path

from companion.exercise.drill_goal import target_of
from companion.exercise.drill_on_score import DrillOnScore, click_settings_of_drill
from companion.exercise.file.exercise import Exercise
from companion.exercise.instruments import Instrument
from companion.exercise.pack import identity
from companion.files.folders import Folders
from companion.files.whole_file import refuse_untyped
from companion.publish.handout.handout import (
    WrittenPage,
    handout_file_name,
    is_page,
    made_folder,
    write_handout,
)
from companion.publish.handout.lesson import HandedExercise, Handout, Lesson
from companion.session.open_exercise import CheckedExercise, check_exercise, drills_on_disk
from companion.session.open_score import Choices, laid_with_choices
from companion.session.starting_tempo import TempoSource
from companion.wording.exercise_sentences import target_told
from companion.wording.phrases import day_told


def hand_out_exercise(
    file: Path, out: Path, folders: Folders, instrument: Instrument | None = None
) -> list[WrittenPage]:
    """A page for an exercise file or a pack.

    Raises ExerciseError with every fault in it, CompanionError if a file cannot be
    written.
    """
    checked = check_exercise(file, folders, instrument)
    path = out
    if not is_page(out):
        path = out / f"{handout_file_name(checked.file.exercise.title)}.html"
        refuse_untyped([path])
        made_folder(out)
    with drills_on_disk(checked, folders) as on_scores:
        lessons = tuple(_lesson(one, checked.file.exercise) for one in on_scores)
        return [write_handout(_handout(checked, lessons), path, folders)]


def _handout(checked: CheckedExercise, lessons: tuple[Lesson, ...]) -> Handout:
    exercise = checked.file.exercise
    return Handout(
        exercise.title,
        f"for {exercise.whom}" if exercise.whom else "",
        lessons,
        exercise.instructions,
        f"Due on {day_told(exercise.due)}." if exercise.due else "",
        HandedExercise(
            identity(checked.files),
            exercise.title,
            exercise.due.isoformat() if exercise.due else None,
            tuple(
                (exercise.named(number), lesson.target)
                for number, lesson in enumerate(lessons, 1)
                if lesson.target
            ),
        ),
    )


def _lesson(on_score: DrillOnScore, exercise: Exercise) -> Lesson:
    target, drill = target_of(on_score), on_score.drill
    return Lesson(
        laid_with_choices(on_score.opened, Choices()),
        on_score.passage,
        target.tempo,
        TempoSource.EXERCISE,
        click_settings_of_drill(on_score),
        title=drill.title
        or (f"Drill {on_score.number}" if len(exercise.drills) > 1 else "The drill"),
        goal=target_told(target),
        listen=drill.listen,
        fades=", ".join(drill.fades),
        target=target,
    )

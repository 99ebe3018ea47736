"""Whether an exercise can be played as it is written: notes, scores, parts, bars and what it shows.

What the form cannot tell. Every drill is opened and laid on its clock exactly as it will be
for the student, so that a teacher learns at home, not in the lesson, that the bars are
counted otherwise in the student's score.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from companion.click.plan.plan import planned
from companion.errors import CompanionError, RequestError
from companion.exercise.drill_features import has_feature
from companion.exercise.drill_on_score import (
    DrillOnScore,
    click_settings_of_drill,
    drill_on_score,
    made_score,
    score_path,
)
from companion.exercise.file.exercise_file import ExerciseFile
from companion.exercise.file.faults import ExerciseError, Fault
from companion.exercise.file.toml_places import Path as KeyPath
from companion.exercise.pattern.abc_bars import abc_faults
from companion.exercise.pattern.pattern import PatternError, PatternFault
from companion.score.readers.opening import read_score


def drills_on_scores(
    file: ExerciseFile, folder: Path, made: Path, cache: Path | None = None
) -> tuple[DrillOnScore, ...]:
    """Every drill on its score. Raises ExerciseError with every fault, form apart.

    Scores lie next to the exercise in `folder`; those of patterns and ABC are written into
    `made`. Raises OSError if they cannot be.
    """
    made.mkdir(parents=True, exist_ok=True)
    faults: list[Fault] = []
    drills: list[DrillOnScore] = []
    for number in range(1, len(file.exercise.drills) + 1):
        try:
            path = _score(file, number, folder, made)
            drills.append(_checked(file, _on_score(file, number, path, cache)))
        except ExerciseError as error:
            faults += error.faults
    if faults:
        raise ExerciseError(file.name, faults)
    return tuple(drills)


def _score(file: ExerciseFile, number: int, folder: Path, made: Path) -> Path:
    """The score file of a drill, made where it brings its own notes."""
    drill, at = file.exercise.drills[number - 1], number - 1
    path = score_path(folder, made, file.exercise, number)
    if drill.abc and not _KEY.search(drill.abc):
        what = "this ABC has no key"
        fault = file.fault(("drill", at, "abc"), what, "Add a line such as K:D before the notes.")
        raise ExerciseError(file.name, [fault])
    if drill.abc and (wrong := abc_faults(drill.abc)):
        raise ExerciseError(file.name, _inside(file, ("drill", at, "abc"), wrong))
    try:
        if not drill.score:
            path.write_bytes(made_score(drill, file.exercise.named(number)))
    except PatternError as error:
        faults = _inside(file, ("drill", at, "pattern"), error.faults)
        raise ExerciseError(file.name, faults) from None
    return path


def _inside(file: ExerciseFile, path: KeyPath, found: Iterable[PatternFault]) -> list[Fault]:
    """Faults of notes, at their places in the file."""
    inside = file.places.inside
    return [Fault(*inside(path, one.offset), one.what, one.advice) for one in found]


_KEY = re.compile(r"^K:", re.M)


def _on_score(file: ExerciseFile, number: int, path: Path, cache: Path | None) -> DrillOnScore:
    drill, at = file.exercise.drills[number - 1], number - 1
    try:
        opened = read_score(path, cache)
    except CompanionError as fault:
        key = "score" if drill.score else "abc" if drill.abc else "pattern"
        name = f"“{drill.score}”: " if drill.score else ""
        place = file.fault(("drill", at, key), f"{name}{fault.what}", fault.next)
        raise ExerciseError(file.name, [place]) from None
    try:
        return drill_on_score(drill, number, opened)
    except CompanionError as fault:
        key = "part" if "part" in fault.what or "could be" in fault.what else "bars"
        place = file.fault(("drill", at, key), fault.what, fault.next)
        raise ExerciseError(file.name, [place]) from None


def _checked(file: ExerciseFile, on_score: DrillOnScore) -> DrillOnScore:
    faults = [*_missing_features(file, on_score), *_faults_of_click(file, on_score)]
    if faults:
        raise ExerciseError(file.name, faults)
    return on_score


def _missing_features(file: ExerciseFile, on_score: DrillOnScore) -> Iterator[Fault]:
    for feature in on_score.drill.shows:
        if not has_feature(
            feature, on_score.passage, on_score.conflicts, bool(on_score.drill.silences)
        ):
            path = ("drill", on_score.number - 1, "shows")
            what = f"“{feature}” is not found in these bars of {on_score.passage.part_name}"
            yield file.fault(path, what, "companion exercise show lists what is there.")


def _faults_of_click(file: ExerciseFile, on_score: DrillOnScore) -> Iterator[Fault]:
    """What keeps the click from being planned: a part in its layers that is not there."""
    try:
        planned(on_score.passage, on_score.conflicts, click_settings_of_drill(on_score))
    except RequestError as fault:
        key = "layers" if "part" in fault.what or "could be" in fault.what else "repeat"
        yield file.fault(("drill", on_score.number - 1, key), fault.what, fault.next)

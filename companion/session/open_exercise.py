"""From what a person typed to an exercise in the list: found, checked, opened, closed.

On opening, everything is made ready in a folder next to the list and moved into it in one step, so
that an exercise is in the list whole or not at all, whatever happens meanwhile.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, replace
from enum import StrEnum
from os.path import exists, isdir
from pathlib import Path
from tempfile import mkdtemp

from companion.errors import CompanionError
from companion.exercise.assignment import (
    BEING_OPENED,
    FILES,
    MADE,
    RECORD,
    Assignment,
    folder_name,
    read_assignment,
    write_record,
)
from companion.exercise.drill_goal import target_of
from companion.exercise.drill_on_score import FILE_NAME, DrillOnScore, scores_beside, write_made
from companion.exercise.exercise_check import drills_on_scores
from companion.exercise.file.exercise import Exercise
from companion.exercise.file.exercise_file import (
    ExerciseFile,
    read_exercise,
    write_exercise_text,
)
from companion.exercise.file.faults import did_you_mean
from companion.exercise.fitting import fitted
from companion.exercise.instruments import Instrument
from companion.exercise.pack import (
    LARGEST_PACK,
    PackRevision,
    identity,
    is_pack,
    unpack,
)
from companion.files.file_kind import plain_file
from companion.files.folders import Folders
from companion.files.score_paths import as_path
from companion.files.spare_folder import spare_folder
from companion.files.whole_file import make_own_folder
from companion.practice.attempt import now
from companion.session.corrected_exercise import (
    built_in_revision,
    carry_attempts,
    earlier_versions,
    with_earlier,
)
from companion.session.open_score import Choices, OpenScore, laid_with_choices

_PACKAGE = Path(__file__).resolve().parents[1]
_HOW = "Check the name, or see companion exercise list --library."


def exercise_library_folder() -> Path:
    """The folder of exercises the program brings along. Raises CompanionError without it."""
    for folder in (_PACKAGE / "_exercises", _PACKAGE.parent / "exercises"):
        if isdir(folder):
            return folder
    raise CompanionError("the built-in exercises are missing", next="Install companion again.")


@dataclass(frozen=True, slots=True)
class BuiltIn:
    """An exercise the program brings along."""

    name: str
    """Such as `clapping/three_over_two`."""
    path: Path
    exercise: Exercise
    number: str
    """`L7`: the letter tells it from number 7 of the student's own list."""


def built_in_exercises() -> list[BuiltIn]:
    """The easy ones first. Raises CompanionError if they are missing."""
    found = [
        (exercise.level or 0, name, path, exercise)
        for name, path in built_in_files().items()
        for exercise in [read_exercise(path.read_bytes(), path.name).exercise]
    ]
    found.sort(key=lambda one: one[:2])
    return [
        BuiltIn(name, path, exercise, f"L{number}")
        for number, (_, name, path, exercise) in enumerate(found, 1)
    ]


def built_in_files() -> dict[str, Path]:
    """Every built-in exercise by its name, such as `clapping/three_over_two`."""
    folder = exercise_library_folder()
    found = sorted(folder.rglob("*.toml"))
    return {path.relative_to(folder).with_suffix("").as_posix(): path for path in found}


def format_page() -> str:
    """The page that explains the exercise file to a teacher. Raises CompanionError without it."""
    return content_of(exercise_library_folder() / "FORMAT.md").decode("utf-8")


def student_folder(folders: Folders) -> Path:
    """The folder of the exercises a student opened."""
    return folders.data / "exercises"


def find_exercise(typed: str) -> Path:
    """The file a person means: a path, or a built-in exercise by its number (`L7`), its name, the
    last part of it or its title.

    Raises CompanionError if there is none.
    """
    path = as_path(typed)
    if exists(path):
        return path
    known = built_in_files()
    named = [known[name] for name in known if typed in (name, name.rpartition("/")[2])]
    if len(named) == 1:
        return named[0]
    wanted = typed.strip().casefold()
    found = built_in_exercises()
    titles = {one.exercise.title.casefold(): one.path for one in found}
    numbers = {one.number.casefold(): one.path for one in found}
    if not named and (meant := numbers.get(wanted) or titles.get(wanted)):
        return meant
    if named:
        whole = " or ".join(name for name in known if known[name] in named)
        raise CompanionError("this could be several", where=typed, next=f"Write {whole}.")
    words = [*known, *(name.rpartition("/")[2] for name in known), *titles]
    near = did_you_mean(typed, words)
    raise CompanionError("there is no such exercise", where=typed, next=near or _HOW)


def content_of(path: Path) -> bytes:
    """A file's bytes. Raises CompanionError if it cannot be read or is far too large."""
    try:
        if plain_file(path, "a file").stat().st_size > LARGEST_PACK:
            raise CompanionError(
                f"this file is over {LARGEST_PACK // 1024**2} megabytes",
                where=str(path),
                next="No exercise is that large.",
            )
        return path.read_bytes()
    except (OSError, ValueError) as fault:
        reason = getattr(fault, "strerror", None) or "its name cannot be used"
        raise CompanionError(
            f"this file cannot be read ({reason})", where=str(path), next="Check its permissions."
        ) from None


# An exercise file looked at as a whole: its form, its notes, every drill on its score.


@dataclass(frozen=True, slots=True)
class CheckedExercise:
    """An exercise in which nothing is wrong."""

    file: ExerciseFile
    files: dict[str, bytes]
    """Its file, under the name every exercise gets, and its scores, by name."""
    drills: tuple[DrillOnScore, ...]
    revision: PackRevision

    def open_score(self, number: int) -> OpenScore:
        """The score of a drill, from 1, as a screen or a command shows it."""
        return laid_with_choices(self.drills[number - 1].opened, Choices())


def check_exercise(
    path: Path, folders: Folders, instrument: Instrument | None = None
) -> CheckedExercise:
    """Look at an exercise file or a pack; on an instrument, at what is played there.

    Raises ExerciseError with every fault in it, CompanionError if it cannot be read or does
    not fit the instrument.
    """
    checked = _checked(path, folders)
    if instrument is None:
        return checked
    moved = fitted(checked.file.exercise, instrument)
    if moved is checked.file.exercise:
        return checked
    files = {FILE_NAME: write_exercise_text(moved).encode()}
    with _workplace() as spare:
        return _looked(files, PackRevision(identity(files), 1), path.name, spare, folders)


def _checked(path: Path, folders: Folders) -> CheckedExercise:
    content = content_of(path)
    with _workplace() as spare:
        if is_pack(content):
            files, revision = unpack(content, path.name)
            lay_out(files, spare / "files")
            return _looked(files, revision, path.name, spare, folders)
        file = read_exercise(content, path.name)
        drills = drills_on_scores(file, path.parent, spare / "made", folders.cache)
        files = {FILE_NAME: content}
        for name in scores_beside(file.exercise):
            files[name] = content_of(path.parent / name)
        return CheckedExercise(file, files, drills, PackRevision(identity(files), 1))


@contextmanager
def drills_on_disk(
    checked: CheckedExercise, folders: Folders
) -> Iterator[tuple[DrillOnScore, ...]]:
    """The drills on scores that lie on the disk for as long as their notes are engraved.

    Raises CompanionError if there is no room for them.
    """
    with _workplace() as spare:
        lay_out(checked.files, spare)
        yield drills_on_scores(checked.file, spare, spare / "made", folders.cache)


def lay_out(files: dict[str, bytes], folder: Path) -> None:
    """Write files below a folder by their names, which were checked. Raises OSError."""
    for name, content in files.items():
        place = folder / name
        make_own_folder(place.parent)
        place.write_bytes(content)


def _looked(
    files: dict[str, bytes], revision: PackRevision, name: str, spare: Path, folders: Folders
) -> CheckedExercise:
    file = read_exercise(files[FILE_NAME], name)
    _check_scores(file, files, name)
    drills = drills_on_scores(file, spare / "files", spare / "made", folders.cache)
    return CheckedExercise(file, files, drills, revision)


def _check_scores(file: ExerciseFile, files: dict[str, bytes], name: str) -> None:
    """That the pack holds the scores its exercise needs, and nothing that was slipped in."""
    odd = set(files) ^ {FILE_NAME, *scores_beside(file.exercise)}
    if odd:
        raise CompanionError(
            f"“{min(odd)}” is in the pack or in its exercise, but not in both",
            where=name,
            next="Ask for the pack again.",
        )


def _workplace() -> AbstractContextManager[Path]:
    return spare_folder("the exercise could not be checked")


# Into the student's list, and off it.


class Taken(StrEnum):
    """What became of an exercise that was opened."""

    NEW = "new"
    CORRECTED = "corrected"
    """It stands in the place of an earlier version."""
    THERE = "there"
    """It was in the list already."""


def open_exercise(
    path: Path, folders: Folders, instrument: Instrument | None = None
) -> tuple[Assignment, Taken]:
    """Take an exercise file or a pack into the list, in the place of a version it corrects.

    On an instrument it is taken in as it is played there.
    Raises ExerciseError, PackError or CompanionError where it cannot be; then nothing is.
    """
    checked = check_exercise(path, folders, instrument)
    id_ = identity(checked.files)
    place = student_folder(folders) / folder_name(id_)
    is_there = exists(place / RECORD)
    if not is_there and path.is_relative_to(exercise_library_folder()):
        parts = [one.passage.part_name for one in checked.drills]
        newer = built_in_revision(place.parent, path.name, id_, checked.file.exercise, parts)
        checked = replace(checked, revision=newer or checked.revision)
    earlier = earlier_versions(place.parent, id_, checked.revision)
    try:
        if not is_there:
            _take_in(checked, id_, place, path.name, earlier)
    except OSError as fault:
        raise CompanionError(
            f"the exercise could not be kept ({fault.strerror})",
            where=str(place.parent),
            next="Make room on the disk or check the permissions, then open it again.",
        ) from None
    opened = read_assignment(place)
    for one in earlier:
        carry_attempts(folders, one, opened)
        close_exercise(one)
    if earlier:
        return opened, Taken.CORRECTED
    return opened, Taken.THERE if is_there else Taken.NEW


def _take_in(
    checked: CheckedExercise,
    id_: str,
    place: Path,
    came_from: str,
    earlier: Sequence[Assignment],
) -> None:
    make_own_folder(place.parent)
    ready = Path(mkdtemp(dir=place.parent, prefix=BEING_OPENED))
    try:
        lay_out(checked.files, ready / FILES)
        write_made(checked.file.exercise, ready / MADE)
        targets = [target_of(one) for one in checked.drills]
        targets = with_earlier(checked.file.exercise, targets, earlier)
        opened = min((one.opened for one in earlier), default=now())
        record = write_record(id_, opened, came_from, targets, checked.revision)
        (ready / RECORD).write_bytes(record)
        if place.exists():  # a folder without its record: what is left of an older accident
            shutil.rmtree(place)
        os.rename(ready, place)
    finally:
        shutil.rmtree(ready, ignore_errors=True)


def close_exercise(assignment: Assignment) -> None:
    """Take an exercise off the list. What the log holds of it stays.

    Raises CompanionError if it cannot be removed.
    """
    try:
        shutil.rmtree(assignment.folder)
    except OSError as fault:
        raise CompanionError(
            f"the exercise could not be taken off the list ({fault.strerror})",
            where=str(assignment.folder),
            next="Check the permissions.",
        ) from None

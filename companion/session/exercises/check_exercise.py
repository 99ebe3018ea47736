"""An exercise file looked at as a whole: its form, its notes, every drill on its score."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from companion.errors import CompanionError
from companion.exercise.drill_scores import FILE_NAME, Laid, scores_beside
from companion.exercise.file.exercise_file import ExerciseFile, read_exercise
from companion.exercise.musical_checks import lay_drills
from companion.exercise.pack import is_pack, unpack
from companion.files.folders import Folders
from companion.session.exercises.find_exercise import content_of
from companion.session.open_score import Choices, OpenScore, laid_with_choices


@dataclass(frozen=True, slots=True)
class CheckedExercise:
    """An exercise in which nothing is wrong."""

    written: ExerciseFile
    """The exercise and its file."""
    files: dict[str, bytes]
    """Its file, under the name every exercise gets, and its scores, by name."""
    laid: tuple[Laid, ...]
    """Its drills."""

    def open_score(self, number: int) -> OpenScore:
        """The score of a drill, from 1, as a screen or a command shows it."""
        return laid_with_choices(self.laid[number - 1].opened, Choices())


def check_exercise(path: Path, folders: Folders) -> CheckedExercise:
    """Look at an exercise file or a pack.

    Raises ExerciseError with every fault in it, CompanionError where it cannot be read.
    """
    content = content_of(path)
    with _workplace() as spare:
        if is_pack(content):
            files = unpack(content, path.name)
            lay_out(files, spare / "files")
            return _looked(files, path.name, spare / "files", spare / "made", folders)
        written = read_exercise(content, path.name)
        laid = lay_drills(written, path.parent, spare / "made", folders.cache)
        files = {FILE_NAME: content}
        for name in scores_beside(written.exercise):
            files[name] = content_of(path.parent / name)
        return CheckedExercise(written, files, laid)


def lay_out(files: dict[str, bytes], folder: Path) -> None:
    """Write files below a folder by their names, which were checked. Raises OSError."""
    for name, content in files.items():
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(content)


def _looked(
    files: dict[str, bytes], name: str, folder: Path, made: Path, folders: Folders
) -> CheckedExercise:
    written = read_exercise(files[FILE_NAME], name)
    _check_scores(written, files, name)
    return CheckedExercise(written, files, lay_drills(written, folder, made, folders.cache))


def _check_scores(written: ExerciseFile, files: dict[str, bytes], name: str) -> None:
    """That the pack holds the scores its exercise needs, and nothing that was slipped in."""
    odd = set(files) ^ {FILE_NAME, *scores_beside(written.exercise)}
    if odd:
        raise CompanionError(
            f"“{min(odd)}” is in the pack or in its exercise, but not in both",
            where=name,
            next="Ask for the pack again.",
        )


@contextmanager
def _workplace() -> Iterator[Path]:
    """A folder that is gone afterwards. Raises CompanionError where none can be had."""
    try:
        with TemporaryDirectory(prefix="companion-") as spare:
            yield Path(spare)
    except OSError as fault:
        raise CompanionError(
            f"the exercise could not be looked at ({fault.strerror})",
            next="Make room on the disk, then do this again.",
        ) from None

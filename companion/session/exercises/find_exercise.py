"""Finding exercises: a file by its path, or one of those the program brings along by its name."""

from __future__ import annotations

from pathlib import Path

from companion.errors import CompanionError
from companion.exercise.file.faults import meant
from companion.exercise.pack import LARGEST_PACK
from companion.files.folders import Folders
from companion.files.score_paths import as_path

_PACKAGE = Path(__file__).resolve().parents[2]
_HOW = "Check the name, or see companion exercise list --library."


def exercise_library_folder() -> Path:
    """The folder of exercises the program brings along. Raises CompanionError without it."""
    for folder in (_PACKAGE / "_exercises", _PACKAGE.parent / "exercises"):
        if folder.is_dir():
            return folder
    raise CompanionError("the built-in exercises are missing", next="Install companion again.")


def library() -> dict[str, Path]:
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
    """The file a person means: a path, or the name of a built-in exercise or its last part.

    Raises CompanionError where there is none.
    """
    path = as_path(typed)
    if path.exists():
        return path
    known = library()
    named = [known[name] for name in known if typed in (name, name.rpartition("/")[2])]
    if len(named) == 1:
        return named[0]
    near = meant(typed, [*known, *(name.rpartition("/")[2] for name in known)])
    raise CompanionError("there is no such exercise", where=typed, next=near or _HOW)


def content_of(path: Path) -> bytes:
    """A file's bytes. Raises CompanionError where it cannot be read or is far too large."""
    try:
        if path.is_dir():
            raise CompanionError("this is a folder", where=str(path), next="Name a file in it.")
        if not path.is_file():
            raise CompanionError("there is no such file", where=str(path), next="Check the name.")
        if path.stat().st_size > LARGEST_PACK:
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

"""The bytes of a file that may be a score: one place that decides what is opened at all.

A pipe that never ends, a folder or a file of many gigabytes must not be found out by
reading it.
"""

from __future__ import annotations

from pathlib import Path

from companion.files.file_kind import FOLDER, other_kind
from companion.score.reader_error import ReaderError

MOST_BYTES = 100_000_000
"""No score is larger; reading must stay bounded."""


def checked_path(path: Path) -> Path:
    """The same path, if a plain file of a sensible size lies there.

    Raises ReaderError otherwise, so that a wrong name is told before a screen is taken.
    """
    try:
        if (kind := other_kind(path)) == FOLDER:
            raise _refused(path, "it is a folder", "Name the score inside it.")
        if kind:
            raise _refused(path, f"it is {kind}", "Name a file with a score.")
        if path.stat().st_size > MOST_BYTES:
            larger = f"it is larger than {MOST_BYTES // 1_000_000} megabytes"
            raise _refused(path, larger, "No score is that large; name another file.")
        with path.open("rb"):
            return path
    except (FileNotFoundError, NotADirectoryError):
        raise _refused(path, "there is no such file", "Check its name and folder.") from None
    except (OSError, ValueError) as error:
        raise _unopened(path, error) from None


def contents(path: Path) -> bytes:
    """A whole file. Raises ReaderError if there is none that could be a score."""
    try:
        with checked_path(path).open("rb") as stream:
            data = stream.read(MOST_BYTES)
    except (OSError, ValueError) as error:
        raise _unopened(path, error) from None
    if not data.strip():
        raise _refused(path, "it is empty", "Export the score again.")
    return data


def _unopened(path: Path, error: OSError | ValueError) -> ReaderError:
    reason = getattr(error, "strerror", None) or "its name cannot be used"
    return _refused(path, f"it cannot be opened ({reason})", "Check its name and permissions.")


def _refused(path: Path, what: str, advice: str) -> ReaderError:
    return ReaderError(what, where=path.name or str(path), next=advice)

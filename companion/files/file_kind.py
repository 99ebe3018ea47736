"""What lies under a name that is no plain file: a pipe is never read to its end, a device is
never replaced, and both are called what they are."""

from __future__ import annotations

import stat
from pathlib import Path

from companion.errors import CompanionError

FOLDER, DEVICE = "a folder", "a device"
_KINDS = (
    (stat.S_ISDIR, FOLDER),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISBLK, DEVICE),
    (stat.S_ISCHR, DEVICE),
)


def other_kind(path: Path) -> str:
    """What it is, or what a link leads to; empty for a plain file. Raises OSError, and
    ValueError for a name that cannot be used."""
    mode = path.stat().st_mode
    return next((kind for is_kind, kind in _KINDS if is_kind(mode)), "")


def plain_file(
    path: Path, wanted: str = "a score", refusal: type[CompanionError] = CompanionError
) -> Path:
    """The same path, if a plain file lies there that can be read.

    Raises `refusal` otherwise; `wanted` is what should be named instead.
    """
    try:
        if kind := other_kind(path):
            inside = " in it" if kind == FOLDER else ""
            raise refusal(f"this is {kind}", where=str(path), next=f"Name {wanted}{inside}.")
        with path.open("rb"):
            return path
    except (FileNotFoundError, NotADirectoryError):
        raise refusal("there is no such file", where=str(path), next="Check the name.") from None
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "its name cannot be used"
        raise refusal(
            f"this file cannot be read ({reason})", where=str(path), next="Check its permissions."
        ) from None

"""Where the built-in score lies, in a checkout and in an installed package."""

from __future__ import annotations

from pathlib import Path

from companion.errors import CompanionError

_PACKAGE = Path(__file__).resolve().parent.parent


def assets() -> Path:
    """The folder of things the program brings along. Raises CompanionError without it."""
    for folder in (_PACKAGE / "_assets", _PACKAGE.parent / "assets"):
        if folder.is_dir():
            return folder
    raise CompanionError("the built-in score is missing", next="Install companion again.")


def demo_score() -> Path:
    """The built-in quartet."""
    return next((assets() / "demo").glob("*.musicxml"))

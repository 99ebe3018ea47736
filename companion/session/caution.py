"""The cautions a player is told before the first sound, and after a long time of repeating.

A program cannot know how loud it is at the ear, nor what a hand or a lip feels. It says
so once for each data folder, and defers to those who can know.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from companion.files.folders import Folders

BEFORE_THE_FIRST_SOUND = (
    "Start with the volume low: no program can know how loud your headphones are. "
    "Rest when it hurts, and ask your teacher or a doctor."
)
"""Shown once."""

REST_AFTER = 15 * 60
"""Seconds of unbroken playing after which a rest is suggested (common practice, no source)."""

A_REST = 60
"""Seconds of not playing that count as a rest (common practice, no source)."""

TIME_FOR_A_REST = "You have played a quarter of an hour without a rest: a good moment for one."
"""Shown once REST_AFTER is over, until a rest was taken."""


def caution_is_due(folders: Folders) -> bool:
    """Whether nobody has been told yet in this data folder."""
    return not _told(folders).exists()


def caution_was_told(folders: Folders) -> None:
    """Remember that it was told; where the folder cannot be written to it is told again."""
    with suppress(OSError):
        folders.data.mkdir(parents=True, exist_ok=True)
        _told(folders).touch()


def _told(folders: Folders) -> Path:
    return folders.data / "caution-told"

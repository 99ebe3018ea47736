"""Readers that fall, for a crew that must not fall with them. Run in its processes."""

from __future__ import annotations

import os
from pathlib import Path

from companion.library import worker
from companion.library.folder_walk import FoundFile
from companion.library.indexed_score import IndexedScore


def read_but_fall_over_traps(
    folder: Path, found: FoundFile, cache_folder: Path
) -> IndexedScore | None:
    """Reads like any other, but a file called a trap takes the process along."""
    if found.where.startswith(b"trap"):
        os._exit(1)
    return worker.read(folder, found, cache_folder)


def stumble(folder: Path, found: FoundFile, cache_folder: Path) -> IndexedScore | None:
    """Fails in a way no reader should."""
    raise ZeroDivisionError

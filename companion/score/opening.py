"""The door of the house: a file in, the written score out, from the cache where it can be.

file → open_score() → Score → lay() → Clock → conflicts, passages
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from companion.errors import CompanionError
from companion.score import cache
from companion.score.model import Score

Progress = Callable[[str], None]
Cancelled = Callable[[], bool]

LARGEST_FILE = 200 * 1024 * 1024
"""Bytes; nobody's quartet is larger, and reading must stay bounded."""


@dataclass(frozen=True, slots=True)
class Opened:
    """A score and what identifies its source."""

    score: Score
    """What is written."""
    digest: str
    """Identifies the source's content, wherever the file lies."""
    path: Path
    """Where it was read from."""


def open_score(
    path: Path,
    cache_folder: Path | None = None,
    *,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Opened:
    """Read a score in any format, through the cache where a folder is given.

    Raises CompanionError where the file is no score that can be read.
    """
    key = cache.digest(_content(path))
    kept = cache.load(cache_folder, key) if cache_folder else None
    if kept is not None:
        return Opened(kept, key, path)

    from companion.score.readers.musicxml import read_musicxml

    source = _source(path, key, cache_folder, progress, cancelled)
    if progress:
        progress("laying out the parts")
    score = read_musicxml(source, path.stem)
    if cache_folder:
        cache.keep(cache_folder, key, score)
    return Opened(score, key, path)


def musicxml_of(path: Path, cache_folder: Path | None = None) -> bytes:
    """The score as MusicXML text, converted where it came in another format."""
    return _source(path, cache.digest(_content(path)), cache_folder, None, None)


def _source(
    path: Path,
    key: str,
    cache_folder: Path | None,
    progress: Progress | None,
    cancelled: Cancelled | None,
) -> bytes:
    kept = cache.load_source(cache_folder, key) if cache_folder else None
    if kept is not None:
        return kept

    from companion.score.readers import door

    source = door.read(path, progress=progress, cancelled=cancelled)
    if cache_folder and source.is_converted:
        cache.keep_source(cache_folder, key, source.musicxml)
    return source.musicxml


def _content(path: Path) -> bytes:
    """The file's bytes. Raises CompanionError where there is no such readable file."""
    try:
        if path.is_dir():
            raise CompanionError("this is a folder", where=str(path), next="Name a score in it.")
        if path.stat().st_size > LARGEST_FILE:
            raise CompanionError(
                "this file is over 200 MB", where=str(path), next="Export the score again, alone."
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise CompanionError(
            "there is no such file", where=str(path), next="Check the name."
        ) from None
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or "its name cannot be used"
        raise CompanionError(
            f"this file cannot be read ({reason})", where=str(path), next="Check its permissions."
        ) from None

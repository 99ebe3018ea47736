"""The door of the house: a file in, the written score out, from the cache where it can be.

file → open_score() → Score → lay() → Clock → conflicts, passages
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from companion.score import cache
from companion.score.model import Score
from companion.score.readers.contents import contents
from companion.score.readers.refusal import ReaderError

Progress = Callable[[str], None]
Cancelled = Callable[[], bool]


class Opened(Struct, frozen=True):
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
    data = contents(path)
    key = cache.digest(data)
    kept = cache.load(cache_folder, key) if cache_folder else None
    if kept is not None:
        return Opened(kept, key, path)

    from companion.score.readers.musicxml import read_musicxml

    source = _source(data, path, cache_folder, progress, cancelled)
    if progress:
        progress("laying out the parts")
    try:
        score = read_musicxml(source, path.stem)
    except ReaderError as refusal:
        raise refusal.inside(path.name) from None
    if cache_folder:
        cache.keep(cache_folder, key, score)
    return Opened(score, key, path)


def musicxml_of(path: Path, cache_folder: Path | None = None) -> bytes:
    """The score as MusicXML text, converted where it came in another format."""
    return _source(contents(path), path, cache_folder, None, None)


def _source(
    data: bytes,
    path: Path,
    cache_folder: Path | None,
    progress: Progress | None,
    cancelled: Cancelled | None,
) -> bytes:
    key = cache.digest(data)
    kept = cache.load_source(cache_folder, key) if cache_folder else None
    if kept is not None:
        return kept

    from companion.score.readers import door

    source = door.source_of(data, path.name, progress, cancelled)
    if cache_folder and source.is_converted:
        cache.keep_source(cache_folder, key, source.musicxml)
    return source.musicxml

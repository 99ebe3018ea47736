"""A file in, the written score out, from the cache where it can be.

file → read_score() → Score → lay() → Clock → conflicts, passages

Who has something else to do first, such as importing what comes after the score, begins an
`Opening` and asks for its score later.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from companion.score import cache
from companion.score.reader_error import ReaderError
from companion.score.readers.file_contents import contents

if TYPE_CHECKING:
    from companion.score.model import Score
    from companion.score.readers.musicxml.document import Document

Progress = Callable[[str], None]
Cancelled = Callable[[], bool]


class Opened(NamedTuple):
    """A score and what identifies its source."""

    score: Score
    digest: str
    """Identifies the source's content, wherever the file lies."""
    path: Path
    cache_folder: Path | None = None
    """Where what is found in the score may be kept."""


class Opening:
    """A score on its way in, in any format, through the cache where a folder is given.

    Its XML is taken apart in a thread from the moment this is made.
    """

    def __init__(
        self,
        path: Path,
        cache_folder: Path | None = None,
        *,
        progress: Progress | None = None,
        cancelled: Cancelled | None = None,
    ) -> None:
        """Raises CompanionError if the file is no score in any known format."""
        self._path = path
        self._folder = cache_folder
        self._progress = progress
        self._cancelled = cancelled
        data = contents(path)
        self._digest = cache.digest(data)
        is_kept = cache_folder is not None and cache.has(cache_folder, self._digest)
        self._document = None if is_kept else self._taken_apart(data)

    def opened(self) -> Opened:
        """The score, once it is there. Raises CompanionError if it makes no sense."""
        kept = (
            cache.load(self._folder, self._digest) if self._folder and not self._document else None
        )
        score = self._read() if kept is None else kept
        return Opened(score, self._digest, self._path, self._folder)

    def _taken_apart(self, data: bytes) -> Document:
        source = _source(data, self._path, self._folder, self._progress, self._cancelled)

        from companion.score.readers.musicxml.document import Document

        return Document(source)

    def _read(self) -> Score:
        if self._document is None:  # what the cache held was damaged
            self._document = self._taken_apart(contents(self._path))

        from companion.score.readers.musicxml.reading import read_document

        if self._progress:
            self._progress("laying out the parts")
        try:
            score = read_document(self._document, self._path.stem)
        except ReaderError as refusal:
            raise refusal.inside(self._path.name) from None
        if self._folder:
            cache.keep(self._folder, self._digest, score)
        return score


def read_score(
    path: Path,
    cache_folder: Path | None = None,
    *,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Opened:
    """Read a score and wait for it. Raises CompanionError if it cannot be read."""
    return Opening(path, cache_folder, progress=progress, cancelled=cancelled).opened()


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

    from companion.score.readers import score_source

    source = score_source.source_of(data, path.name, progress, cancelled)
    if cache_folder and source.is_converted:
        cache.keep_source(cache_folder, key, source.musicxml)
    return source.musicxml

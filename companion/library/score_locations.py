"""Where a score lies, found by its content: as noted, in the log, in the indexed libraries."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from os.path import isfile
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders, demo_score
from companion.files.score_paths import remembered_place
from companion.journal.log import Log
from companion.library.index_store import indexes
from companion.library.indexed_score import file_of
from companion.practice.plan.day_plan import Item
from companion.score.cache import digest as digest_of
from companion.score.readers.file_contents import contents


def score_of_item(folders: Folders, item: Item) -> Path:
    """The file to open for an item.

    Raises RequestError for an item without bars, CompanionError where the score is not found.
    """
    if item.bars is None:
        raise RequestError(f"there is nothing to open for the {item.kind}")
    return score_place(folders, item.bars.score_digest, item.path)


def score_place(folders: Folders, digest: str, hint: str = "") -> Path:
    """A file with just this content, looked for where it may lie; `hint` is asked first.

    Raises CompanionError if it is nowhere, or only another edition is there.
    """
    for path in _places(folders, digest, hint):
        if isfile(path) and _holds(path, digest):
            return path
    if hint and isfile(Path(hint)):
        raise CompanionError(
            "this file is not the score that was practised",
            where=hint,
            next="If it is a corrected edition: companion carry OLD NEW.",
        )
    raise CompanionError(
        "the score is not where it was" if hint else "it is not known where this score is",
        where=hint,
        next="Open it from where it is now, and practise it or set its goal once.",
    )


def _places(folders: Folders, digest: str, hint: str) -> Iterator[Path]:
    """Where it may lie, the cheapest to ask first."""
    if hint:
        yield Path(hint)
    if noted := remembered_place(folders, digest):
        yield noted
    with Log.read_only(folders.data) as log:
        yield from (one.path for one in log.scores() if one.digest == digest)
    with suppress(CompanionError):
        yield demo_score()
    for index in indexes(folders):
        yield from (file_of(index, entry) for entry in index.entries if entry.digest == digest)


def _holds(path: Path, digest: str) -> bool:
    try:
        return digest_of(contents(path)) == digest
    except CompanionError:
        return False

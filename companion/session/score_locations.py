"""Where a score lay when something was last said about it, by its content.

A goal knows its score only by content. Without this a plan made of goals alone could say
what to practise and not open it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from companion.errors import CompanionError
from companion.files.folders import Folders, demo_score
from companion.files.whole_file import keep_file, kept_file
from companion.journal.log import Log
from companion.library.index_store import indexes
from companion.library.indexed_score import file_of
from companion.score.cache import digest as digest_of
from companion.score.readers.file_contents import contents

_ANY = 1_000_000


def remember_place(folders: Folders, digest: str, path: Path) -> None:
    """Note where a score lies. Raises CompanionError where that cannot be written."""
    keep_file(_note(folders, digest), str(path.expanduser().absolute()).encode("utf-8", "replace"))


def score_place(folders: Folders, digest: str, hint: str = "") -> Path:
    """A file with just this content, looked for where it may lie; `hint` is asked first.

    Raises CompanionError where it is nowhere, or where only another edition is.
    """
    for path in _places(folders, digest, hint):
        if path.is_file() and _holds(path, digest):
            return path
    if hint and Path(hint).is_file():
        raise CompanionError(
            "this file is not the score that was practised",
            where=hint,
            next="If it is a corrected edition: companion carry OLD NEW.",
        )
    raise CompanionError(
        "the score is not where it was" if hint else "nobody said where this score lies",
        where=hint,
        next="Open it where it lies now, and practise it or set its goal there once.",
    )


def _places(folders: Folders, digest: str, hint: str) -> Iterator[Path]:
    """Where it may lie, the cheapest to ask first."""
    if hint:
        yield Path(hint)
    noted = kept_file(_note(folders, digest)) if re.fullmatch("[0-9a-f]+", digest) else None
    if noted:
        yield Path(noted.decode("utf-8", "replace"))
    with Log.read_only(folders.data) as log:
        yield from (Path(one.path) for one in log.scores(_ANY) if one.digest == digest)
    with suppress(CompanionError):
        yield demo_score()
    for index in indexes(folders):
        yield from (file_of(index, entry) for entry in index.entries if entry.digest == digest)


def _holds(path: Path, digest: str) -> bool:
    try:
        return digest_of(contents(path)) == digest
    except CompanionError:
        return False


def _note(folders: Folders, digest: str) -> Path:
    return folders.data / "places" / f"{digest}.txt"

"""Formats other than MusicXML, turned into it by a general library in a child process.

A child, because that library is slow, holds up every thread of its process while
it parses, and falls over odd files in ways of its own; here it can be watched,
given a time limit and ended. It works on a copy in a folder that is thrown away.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from companion.files import child_process
from companion.files.spare_folder import spare_folder
from companion.score.reader_error import ReaderError, ReadingStopped
from companion.score.readers.format_detection import FileForm

_MOST_BYTES = 20_000_000
_LIMIT = 20.0
"""Seconds a file may take."""

_GIGABYTE = child_process.MOST_MEMORY >> 30
_CHILD = "companion.score.readers.foreign_child"


@dataclass(frozen=True, slots=True)
class Turned:
    """A file turned into MusicXML."""

    musicxml: bytes
    pieces: int
    """How many pieces the file held; the first one was taken."""


def turn(
    data: bytes,
    form: FileForm,
    progress: Callable[[str], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    limit: float = _LIMIT,
) -> Turned:
    """Turn a file's bytes into MusicXML. Takes seconds; calls `progress` with a sentence now
    and then and stops within a tenth of a second once `cancelled` says so.

    Raises ReaderError if the file cannot be read or takes over `limit` seconds, and
    ReadingStopped where it was cancelled.
    """
    if len(data) > _MOST_BYTES:
        raise ReaderError(
            f"it is larger than {_MOST_BYTES // 1_000_000} megabytes of {form.name}",
            next="Export the score as MusicXML.",
        )
    with spare_folder("the score could not be read") as folder:
        source, target = folder / "source", folder / "score.musicxml"
        source.write_bytes(data)
        _convert(source, target, form, limit, _watch(form, progress, cancelled))
        return Turned(target.read_bytes(), _pieces(folder / "pieces"))


def _convert(
    source: Path, target: Path, form: FileForm, limit: float, watch: Callable[[float], None]
) -> None:
    """Have the child write `target`."""
    arguments = (str(source), str(target), form.key, str(limit))
    try:
        child_process.run(_CHILD, *arguments, limit=limit, home=source.parent, watch=watch)
    except child_process.TookTooLong:
        raise ReaderError(
            f"reading this {form.name} file took over {limit:g} seconds",
            next="Export the score as MusicXML.",
        ) from None
    except child_process.ChildFailed as fault:
        if fault.status == child_process.OUT_OF_MEMORY:
            raise ReaderError(
                f"reading this {form.name} file takes over {_GIGABYTE} GB of memory",
                next="It may be damaged; export the score as MusicXML.",
            ) from fault
        raise ReaderError(
            f"it looks like {form.name} but cannot be read as such",
            next="Export the score as MusicXML.",
        ) from fault


def _watch(
    form: FileForm,
    progress: Callable[[str], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Callable[[float], None]:
    """Keeps the player informed, once a second, and looks whether they still want to wait."""
    told = -1

    def watch(seconds: float) -> None:
        nonlocal told
        if progress is not None and int(seconds) > told:
            told = int(seconds)
            progress(f"Reading {form.name}: {told} s")
        if cancelled is not None and cancelled():
            raise ReadingStopped("reading was stopped")

    return watch


def _pieces(note: Path) -> int:
    return int(note.read_text("ascii")) if note.is_file() else 1

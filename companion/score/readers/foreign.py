"""Formats other than MusicXML, turned into it by a general library in a child process.

A child, because that library is slow, holds up every thread of its process while
it parses, and falls over odd files in ways of its own; here it can be watched,
given a time limit and ended. It works on a copy in a folder that is thrown away.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from companion.score.reader_error import ReaderError
from companion.score.readers.format_detection import FileForm

_MOST_BYTES = 20_000_000
_LIMIT = 120.0
"""Seconds a file may take."""

_CHILD = "companion.score.readers.foreign_child"
_LOOK_EVERY = 0.05


class ReadingStopped(ReaderError):
    """The player did not want to wait any longer."""


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

    Raises ReaderError where the file cannot be read or takes over `limit` seconds, and
    ReadingStopped where it was cancelled.
    """
    if len(data) > _MOST_BYTES:
        raise ReaderError(
            f"it is larger than {_MOST_BYTES // 1_000_000} megabytes of {form.name}",
            next="Export the score as MusicXML.",
        )
    with TemporaryDirectory(prefix="companion-") as folder:
        source, target = Path(folder, "source"), Path(folder, "score.musicxml")
        source.write_bytes(data)
        child = _start(form, source, target, limit)
        try:
            status = _watch(child, form, progress, cancelled, limit)
        finally:
            child.kill()
            child.wait()
        if status != 0 or not target.is_file():
            raise ReaderError(
                f"it looks like {form.name} but cannot be read as such",
                next="Export the score as MusicXML.",
            )
        return Turned(target.read_bytes(), _pieces(Path(folder, "pieces")))


def _start(form: FileForm, source: Path, target: Path, limit: float) -> subprocess.Popen[bytes]:
    """The child at work on `source`, deaf and dumb."""
    return subprocess.Popen(
        [sys.executable, "-m", _CHILD, str(source), str(target), form.key, str(limit)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=source.parent,
        env=_environment(str(source.parent)),
    )


def _environment(folder: str) -> dict[str, str]:
    """The child's surroundings: our own modules, and the folder in place of a home."""
    homes = dict.fromkeys(("HOME", "USERPROFILE", "APPDATA", "TMPDIR", "TEMP", "TMP"), folder)
    path = os.pathsep.join(entry or os.getcwd() for entry in sys.path)
    return {**os.environ, **homes, "PYTHONPATH": path, "PYTHONSAFEPATH": "1"}


def _watch(
    child: subprocess.Popen[bytes],
    form: FileForm,
    progress: Callable[[str], None] | None,
    cancelled: Callable[[], bool] | None,
    limit: float,
) -> int:
    """Wait for the child's exit status, keeping the player informed."""
    began = time.monotonic()
    told = -1
    while True:
        seconds = time.monotonic() - began
        if progress is not None and int(seconds) > told:
            told = int(seconds)
            progress(f"Reading {form.name}: {told} s")
        try:
            return child.wait(timeout=_LOOK_EVERY)
        except subprocess.TimeoutExpired:
            pass
        if cancelled is not None and cancelled():
            raise ReadingStopped("reading was stopped")
        if seconds > limit:
            raise ReaderError(
                f"reading this {form.name} file took over {limit:g} seconds",
                next="Export the score as MusicXML.",
            )


def _pieces(note: Path) -> int:
    return int(note.read_text("ascii")) if note.is_file() else 1

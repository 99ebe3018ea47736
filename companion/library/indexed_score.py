"""What a library knows of a score, small enough to look through thousands at a keystroke.

Names of files are kept as the bytes the disk knows them by: a name that is no text in the
player's language must neither stop the index from being written nor be lost.
"""

from __future__ import annotations

import os
from pathlib import Path

from msgspec import Struct


class HardPassage(Struct, frozen=True, gc=False, array_like=True):
    """A passage that is likely to need practice."""

    first: int
    """Ordinal position of its first bar."""
    last: int
    """Ordinal position of its last bar."""
    points: int
    """How hard by rule of thumb; more is harder (see `score_summary.points`)."""
    numbers: tuple[str, str]
    """What pulls against what: 3 and 2, or 4 and 3+2+3."""
    level: str
    """`beat` or `bar`, as in Conflict."""
    basis: str
    """`meter`, `rhythm` or `dotted`, as in Conflict."""
    sides: tuple[tuple[str, tuple[str, ...]], ...]
    """For each side its division and the printed names of its parts."""
    printed: str
    """Its bars as the page numbers them: `13–20`."""


class MixedBars(Struct, frozen=True, gc=False, array_like=True):
    """A stretch in which parts carry different meters at once."""

    first: int
    """Ordinal position of its first bar."""
    last: int
    """Ordinal position of its last bar."""
    printed: str
    """Its bars as the page numbers them."""


class IndexedScore(Struct, frozen=True, gc=False, array_like=True):
    """One file of a library: a score, or why it is none."""

    where: bytes
    """Its path from the library's folder on, as the disk spells it."""
    size: int
    """Bytes."""
    mtime: int
    """When it was last changed, in nanoseconds as the disk counts them."""
    reader: int
    """Version of the reader that read it."""
    digest: str = ""
    """Identifies its content; empty if not even its bytes could be read."""
    title: str = ""
    """The file's name where the score has none; empty if it could not be read."""
    composer: str = ""
    """Empty if none is named."""
    parts: tuple[str, ...] = ()
    """Printed names from the top of the page."""
    bars: int = 0
    """How many, counted through the file."""
    mixed: tuple[MixedBars, ...] = ()
    written: int = 0
    """Conflicts written as meters."""
    sounding: int = 0
    """Conflicts in the notes under one meter."""
    ratios: tuple[str, ...] = ()
    """Every ratio that occurs, the larger number first, in lowest terms: `3:2`."""
    hardest: tuple[HardPassage, ...] = ()
    """At most three passages, the hardest first."""
    problem: str = ""
    """Why it could not be read and what to do, in a sentence; empty if it was."""

    @property
    def path(self) -> str:
        """Its path from the library's folder on, fit to be shown."""
        return shown_text(os.fsdecode(self.where))


class Index(Struct, frozen=True, array_like=True):
    """A folder of scores, as it was when it was last looked through."""

    folder: bytes
    """Absolute path of the folder, as the disk spells it."""
    entries: tuple[IndexedScore, ...] = ()
    """Every file with the name of a score, in order of title, then of path."""

    @property
    def path(self) -> Path:
        """The folder."""
        return Path(os.fsdecode(self.folder))

    @property
    def scores(self) -> list[IndexedScore]:
        """What could be read."""
        return [entry for entry in self.entries if not entry.problem]

    @property
    def unreadable(self) -> list[IndexedScore]:
        """What could not be read, each with its sentence."""
        return [entry for entry in self.entries if entry.problem]


def file_of(index: Index, entry: IndexedScore) -> Path:
    """Where an entry's file lies, to be opened."""
    return index.path / os.fsdecode(entry.where)


def shown_text(text: str) -> str:
    """Text from a file or a disk in one line that can do nothing to a terminal."""
    return " ".join("".join(map(_harmless, text)).split())


def _harmless(letter: str) -> str:
    """Bytes that were no text come out of the file system as halves of letters."""
    if letter.isprintable():
        return letter
    return "\N{REPLACEMENT CHARACTER}" if "\ud800" <= letter <= "\udfff" else " "

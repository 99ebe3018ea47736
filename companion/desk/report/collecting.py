"""From a heap of files to a class: what can be believed is taken, the rest is named."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from companion.errors import CompanionError
from companion.practice.class_table import Student, class_of
from companion.practice.hard_bars import HardBars, hard_bars
from companion.practice.report import Report
from companion.practice.report_file import LARGEST, ReportError, read_report


@dataclass(frozen=True, slots=True)
class Collected:
    """A class."""

    students: tuple[Student, ...]
    """In order of names."""
    hard: tuple[HardBars, ...]
    """The hardest first."""
    reports: int
    """How many were taken."""
    left_out: tuple[CompanionError, ...]
    """One for each file that was not."""


def collect(paths: Iterable[Path]) -> Collected:
    """Read reports; of a folder every `.json` file in it."""
    taken: list[tuple[str, Report]] = []
    left_out: list[CompanionError] = []
    for path in _files(paths):
        try:
            taken.append((path.name, read_report(_content(path), str(path))))
        except CompanionError as problem:
            left_out.append(problem)
    students = tuple(class_of(taken))
    return Collected(students, tuple(hard_bars(students)), len(taken), tuple(left_out))


def _files(paths: Iterable[Path]) -> Iterator[Path]:
    for path in paths:
        if path.is_dir():
            yield from sorted(path.glob("*.json"))
        else:
            yield path


def _content(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise ReportError("there is no such file", where=str(path), next="Check the name.")
        if path.stat().st_size > LARGEST:
            return b" " * (LARGEST + 1)
        return path.read_bytes()
    except OSError as problem:
        raise ReportError(
            f"this file cannot be read ({problem.strerror})",
            where=str(path),
            next="Check its permissions.",
        ) from None

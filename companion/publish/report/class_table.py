"""A class from its reports: what can be believed is taken, and which bars many find hard."""

from __future__ import annotations

import gc
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from os.path import isdir
from pathlib import Path

from companion.errors import CompanionError
from companion.files.file_kind import plain_file
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json
from companion.publish.report.class_students import Answers, SameName, Student, class_of
from companion.publish.report.report_file import (
    LARGEST,
    Report,
    ReportedPassage,
    ReportError,
    read_report,
)
from companion.score.bar_numbers import names_joined

# Which bars a class finds hard: those at which attempts did not hold, student by student.


_WHOLE = 1_000_000
"""Shares are kept in millionths, so that they can be added up and taken away exactly."""


@dataclass(frozen=True, slots=True)
class HardBars:
    """Bars in a row of one score at which a class fails alike."""

    title: str
    """The score's."""
    parts: tuple[str, ...]
    """Printed names of the parts that tried them."""
    first: int
    """Ordinal position of the first bar."""
    last: int
    """Ordinal position of the last."""
    label: str
    """As printed, so far as what the students practised tells; else places."""
    students: int
    """How many tried them."""
    failing: Fraction
    """The mean over these students of the share of attempts that did not hold."""


def hard_bars(students: Iterable[Student], most: int = 20) -> list[HardBars]:
    """The hardest first, weighed by how many tried them; where a class is more than one
    student, only bars that at least two have tried."""
    listed = list(students)
    scores: dict[str, dict[int, list[int]]] = defaultdict(lambda: defaultdict(lambda: [0, 0]))
    for student in listed:
        for digest, ends in _tried(student).items():
            for first, after, share in _stretches(ends):
                for bar, sign in ((first, 1), (after, -1)):
                    change = scores[digest][bar]
                    change[0] += sign * share
                    change[1] += sign
    fewest = min(2, len(listed))
    found = [
        one
        for digest, changes in scores.items()
        for one in _of_score(listed, digest, changes)
        if one.students >= fewest and one.failing
    ]
    found.sort(key=lambda one: (-one.failing * one.students, one.title, one.first))
    return found[:most]


def _tried(student: Student) -> dict[str, dict[int, list[int]]]:
    """By score: at which bars attempts begin and end to count, failed ones and all."""
    scores: dict[str, dict[int, list[int]]] = defaultdict(lambda: defaultdict(lambda: [0, 0]))
    for (digest, _, first, last), work in student.work.items():
        tries, failed = len(work.attempts), len(work.attempts) - work.held
        for bar, sign in ((first, 1), (last + 1, -1)):
            scores[digest][bar][0] += sign * failed
            scores[digest][bar][1] += sign * tries
    return scores


def _stretches(changes: dict[int, list[int]]) -> Iterator[tuple[int, int, int]]:
    """(first bar, bar after the last, share that failed in millionths) where anything was tried."""
    failed = tries = before = 0
    for bar in sorted(changes):
        if tries:
            yield before, bar, round(_WHOLE * failed / tries)
        failed += changes[bar][0]
        tries += changes[bar][1]
        before = bar


def _of_score(
    students: list[Student], digest: str, changes: dict[int, list[int]]
) -> Iterator[HardBars]:
    title, places = _named(students, digest)
    shares = count = first = 0
    ends = sorted(bar for bar, change in changes.items() if change != [0, 0])
    for bar in ends:
        if count:
            here = [one for one in places if one.first < bar and one.last >= first]
            parts = {one.part_name or one.part for one in here}
            mean = Fraction(shares, count * _WHOLE)
            label = _label(here, first, bar - 1)
            yield HardBars(title, tuple(sorted(parts)), first, bar - 1, label, count, mean)
        shares += changes[bar][0]
        count += changes[bar][1]
        first = bar


def _named(students: list[Student], digest: str) -> tuple[str, list[ReportedPassage]]:
    """A score's title, and what was tried of it."""
    tried = [
        work.told
        for student in students
        for place, work in student.work.items()
        if place[0] == digest
    ]
    return next((told.title for told in tried if told.title), "untitled"), tried


def _label(tried: list[ReportedPassage], first: int, last: int) -> str:
    """Bars by their printed numbers if the labels of what was tried give both."""
    whole = next((one.label for one in tried if (one.first, one.last) == (first, last)), "")
    if whole:
        return whole
    begin, end = (
        next(filter(None, (_name_in(one, bar) for one in tried)), "") for bar in (first, last)
    )
    if first == last or not (begin and end):
        return begin and end
    return names_joined(begin, end, last)


_SPAN = re.compile(r"((?:[^:–]+:)?)(\d{1,6})(?:–(\d{1,6}))?")


def _name_in(passage: ReportedPassage, bar: int) -> str:
    """A bar's printed number if a passage begins or ends there, or numbers its bars without a
    gap; else empty."""
    begin, _, end = passage.label.partition("–")
    if bar == passage.first:
        return begin
    span = _SPAN.fullmatch(passage.label)
    if not passage.first < bar <= passage.last or span is None or span[3] is None:
        return f"@{bar}" if begin.startswith("@") and bar <= passage.last else ""
    if int(span[3]) - int(span[2]) != passage.last - passage.first:
        return f"{span[1]}{end}" if bar == passage.last else ""
    return f"{span[1]}{int(span[2]) + bar - passage.first}"


# From a heap of files to a class: what cannot be believed is named.


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
    unclear: tuple[SameName, ...] = ()
    """Students of one name who may be one."""


def collect(paths: Iterable[Path], answers: Answers | None = None) -> Collected:
    """Read reports; of a folder every `.json` file in it. `answers` tell students apart."""
    taken: list[tuple[str, Report]] = []
    left_out: list[CompanionError] = []
    gc.disable()  # a hundred thousand attempts, none in a circle: a quarter of the time
    try:
        for path in _files(paths):
            try:
                taken.append((path.name, read_report(_content(path), str(path))))
            except CompanionError as problem:
                left_out.append(problem)
    finally:
        gc.enable()
    students, unclear = class_of(taken, answers)
    return Collected(
        tuple(students), tuple(hard_bars(students)), len(taken), tuple(left_out), tuple(unclear)
    )


def answers_of(folders: Folders) -> Answers:
    """What the teacher said of students of one name."""
    return kept_json(_answers_file(folders), Answers) or Answers()


def keep_answers(folders: Folders, answers: Answers) -> None:
    """Keep it. Raises CompanionError if it cannot be kept."""
    keep_json(_answers_file(folders), answers)


def _answers_file(folders: Folders) -> Path:
    return folders.data / "class.json"


def _files(paths: Iterable[Path]) -> Iterator[Path]:
    for path in paths:
        if isdir(path):
            yield from sorted(path.glob("*.json"))
        else:
            yield path


def _content(path: Path) -> bytes:
    try:
        if plain_file(path, "a report", ReportError).stat().st_size > LARGEST:
            return b" " * (LARGEST + 1)
        return path.read_bytes()
    except OSError as problem:
        raise ReportError(
            f"this file cannot be read ({problem.strerror})",
            where=str(path),
            next="Check its permissions.",
        ) from None

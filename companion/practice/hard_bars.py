"""Which bars a class finds hard: those at which attempts did not hold, student by student.

Every student has one voice, whether she tried a bar twice or two hundred times. An attempt
at eight bars that fell apart speaks against all eight, since the log does not say where;
bars that several passages share come out by themselves.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from companion.practice.class_table import Student

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
            parts = {name for name, begin, end in places if begin < bar and end >= first}
            mean = Fraction(shares, count * _WHOLE)
            yield HardBars(title, tuple(sorted(parts)), first, bar - 1, count, mean)
        shares += changes[bar][0]
        count += changes[bar][1]
        first = bar


def _named(students: list[Student], digest: str) -> tuple[str, set[tuple[str, int, int]]]:
    """A score's title, and which parts were tried where."""
    title, places = "", set()
    for student in students:
        for (score, part, first, last), work in student.work.items():
            if score == digest:
                title = title or work.told.title
                places.add((work.told.part_name or part, first, last))
    return title or "untitled", places

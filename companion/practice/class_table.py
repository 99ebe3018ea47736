"""A class from its reports: each student once, however many reports she sent.

Attempts are known by their ids, so two reports that overlap count nothing twice. A day's
minutes cannot be told apart, so of two reports the larger number stands.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from companion.practice.outcome import Outcome
from companion.practice.report import Report, ReportedAttempt, ReportedExercise, ReportedPassage

Place = tuple[str, str, int, int]
"""Score digest, part id, first and last bar."""
HELD = frozenset(one.value for one in Outcome if one >= Outcome.HELD)
"""Outcomes that count as held."""


@dataclass(slots=True)
class Work:
    """What one student did at one passage."""

    told: ReportedPassage
    """As the latest report tells it."""
    attempts: dict[str, ReportedAttempt] = field(default_factory=dict)
    """By id."""

    @property
    def held(self) -> int:
        """Attempts that held."""
        return sum(one.outcome in HELD for one in self.attempts.values())

    @property
    def minutes(self) -> float:
        """Minutes spent in attempts."""
        return sum(one.seconds for one in self.attempts.values()) / 60


@dataclass(slots=True)
class Student:
    """One student of the class."""

    name: str
    """As the latest report has it; the file's name where it has none."""
    reports: int = 0
    """How many of hers there are."""
    made: str = ""
    """When the latest was made, ISO 8601."""
    notes: list[str] = field(default_factory=list)
    """What she wanted to tell, earliest first."""
    minutes: dict[str, float] = field(default_factory=dict)
    """By practice day, ISO 8601."""
    work: dict[Place, Work] = field(default_factory=dict)
    """By passage."""
    exercises: dict[str, ReportedExercise] = field(default_factory=dict)
    """By id, as the latest report tells them."""

    @property
    def attempts(self) -> int:
        """All attempts."""
        return sum(len(one.attempts) for one in self.work.values())

    @property
    def held(self) -> int:
        """Attempts that held."""
        return sum(one.held for one in self.work.values())

    @property
    def states(self) -> Counter[str]:
        """How many passages stand where."""
        return Counter(one.told.state for one in self.work.values() if one.told.state)

    @property
    def done(self) -> int:
        """Exercises whose goal is reached."""
        return sum(one.state == "done" for one in self.exercises.values())

    @property
    def last_day(self) -> str:
        """The last day with practice, ISO 8601; empty without any."""
        return max(self.minutes, default="")


def class_of(reports: Iterable[tuple[str, Report]]) -> list[Student]:
    """The students in order of names; `reports` come with the names of their files.

    Two reports are one student's if the names agree but for case and spaces.
    """
    students: dict[str, Student] = {}
    for file, report in sorted(reports, key=lambda one: (one[1].made, one[0])):
        name = " ".join(report.name.split())
        key = name.casefold() or f"\0{file}"
        student = students.setdefault(key, Student(name))
        student.name = name or f"unnamed ({file})"
        _add(student, report)
    return sorted(students.values(), key=lambda one: one.name.casefold())


def _add(student: Student, report: Report) -> None:
    """Join a report that was made after those that are in already."""
    student.reports += 1
    student.made = report.made
    if report.note and report.note not in student.notes:
        student.notes.append(report.note)
    for day, minutes in report.minutes.items():
        student.minutes[day] = max(minutes, student.minutes.get(day, 0.0))
    for told in report.passages:
        place = (told.score, told.part, told.first, told.last)
        work = student.work.setdefault(place, Work(told))
        work.told = told
        work.attempts.update((one.id, one) for one in told.attempts)
    student.exercises.update((one.id, one) for one in report.exercises)

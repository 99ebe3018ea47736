"""The class as CSV (RFC 4180): a line for each passage and each drill of each student."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from companion.desk.report.words import cell
from companion.practice.class_table import Student, Work
from companion.practice.report import ReportedDrill, ReportedExercise

HEADER = (
    *("student", "minutes_in_all", "days", "last_day", "score", "part", "first_bar", "last_bar"),
    *("bars", "attempts", "held", "minutes", "stands", "held_at", "exercise", "drill", "goal"),
    "reached",
)
"""The columns. `reached` is `yes`, `no`, or empty where there is no goal."""


def class_csv(students: Sequence[Student]) -> bytes:
    """The file's content. Cells that a spreadsheet would reckon with begin with '."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(HEADER)
    for student in students:
        lines.writerows(_lines(student))
    return b"\xef\xbb\xbf" + text.getvalue().encode("utf-8")


def _lines(student: Student) -> Iterator[list[object]]:
    who: list[object] = [
        cell(student.name),
        f"{sum(student.minutes.values()):.0f}",
        len(student.minutes),
        student.last_day,
    ]
    for place in sorted(student.work):
        yield [*who, *_work(student.work[place]), "", "", "", ""]
    for exercise in student.exercises.values():
        for drill in exercise.drills:
            yield [*who, *_drill(exercise, drill)]
    if not student.work and not student.exercises:
        yield [*who, *[""] * (len(HEADER) - len(who))]


def _work(work: Work) -> list[object]:
    told = work.told
    return [
        cell(told.title),
        cell(told.part_name or told.part),
        told.first,
        told.last,
        cell(told.label),
        len(work.attempts),
        work.held,
        f"{work.minutes:.1f}",
        cell(told.state),
        cell(told.held),
    ]


def _drill(exercise: ReportedExercise, drill: ReportedDrill) -> list[object]:
    return [
        "",
        cell(drill.part),
        drill.first,
        drill.last,
        "",
        drill.tries,
        "",
        "",
        cell(drill.state),
        "",
        cell(exercise.title),
        cell(drill.title),
        cell(drill.goal),
        "yes" if drill.state == "done" else "no",
    ]

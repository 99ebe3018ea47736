"""The class as CSV (RFC 4180): a line for each passage and each drill of each student."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence

from companion.publish.report.class_table import Collected, Student, Work
from companion.publish.report.report_file import ReportedDrill, ReportedExercise
from companion.publish.report.report_page import cell, goal_of, held_at

HEADER = (
    *("student", "minutes_in_all", "days", "last_day", "score", "part", "first_bar", "last_bar"),
    *("bars", "attempts", "held", "minutes", "stands", "held_at", "exercise", "drill", "goal"),
    "reached",
)
"""The columns. `reached` is `yes`, `no`, or empty if there is no goal."""


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
        cell(held_at(told)),
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
        cell(goal_of(drill)),
        "yes" if drill.state == "done" else "no",
    ]


# The class for programs, for `collect --json`.


def class_record(collected: Collected) -> dict[str, object]:
    """Names stand as they were written; what shows them has to escape them."""
    return {
        "reports": collected.reports,
        "students": [_student(one) for one in collected.students],
        "hard_bars": [
            {
                "title": one.title,
                "parts": list(one.parts),
                "first": one.first,
                "last": one.last,
                "printed": one.label,
                "students": one.students,
                "failing": round(float(one.failing), 4),
            }
            for one in collected.hard
        ],
        "left_out": [one.sentence() for one in collected.left_out],
    }


def _student(student: Student) -> dict[str, object]:
    return {
        "name": student.name,
        "reports": student.reports,
        "latest": student.made,
        "notes": student.notes,
        "minutes": {day: student.minutes[day] for day in sorted(student.minutes)},
        "attempts": student.attempts,
        "held": student.held,
        "passages": [_work_as_json(work) for _, work in sorted(student.work.items())],
        "exercises": [
            {
                "title": one.title,
                "state": one.state,
                "due": one.due,
                "drills": [
                    {"title": drill.title, "goal": goal_of(drill), "state": drill.state}
                    for drill in one.drills
                ],
            }
            for one in student.exercises.values()
        ],
    }


def _work_as_json(work: Work) -> dict[str, object]:
    return {
        "score": {"title": work.told.title, "digest": work.told.score},
        "part": {"id": work.told.part, "name": work.told.part_name},
        "first": work.told.first,
        "last": work.told.last,
        "printed": work.told.label,
        "state": work.told.state,
        "held_at": held_at(work.told) or None,
        "attempts": len(work.attempts),
        "held": work.held,
        "minutes": round(work.minutes, 2),
    }

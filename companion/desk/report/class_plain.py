"""The class as plain data, for `collect --json`."""

from __future__ import annotations

from companion.desk.report.collecting import Collected
from companion.practice.class_table import Student, Work


def class_record(collected: Collected) -> dict[str, object]:
    """Names stand as they were written; whoever shows them has to make them harmless."""
    return {
        "reports": collected.reports,
        "students": [_student(one) for one in collected.students],
        "hard_bars": [
            {
                "title": one.title,
                "parts": list(one.parts),
                "first": one.first,
                "last": one.last,
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
        "passages": [_work(work) for _, work in sorted(student.work.items())],
        "exercises": [
            {
                "title": one.title,
                "state": one.state,
                "due": one.due,
                "drills": [
                    {"title": drill.title, "goal": drill.goal, "state": drill.state}
                    for drill in one.drills
                ],
            }
            for one in student.exercises.values()
        ],
    }


def _work(work: Work) -> dict[str, object]:
    return {
        "score": {"title": work.told.title, "digest": work.told.score},
        "part": {"id": work.told.part, "name": work.told.part_name},
        "first": work.told.first,
        "last": work.told.last,
        "printed": work.told.label,
        "state": work.told.state,
        "held_at": work.told.held or None,
        "attempts": len(work.attempts),
        "held": work.held,
        "minutes": round(work.minutes, 2),
    }

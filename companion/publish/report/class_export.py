"""The class as CSV (RFC 4180): a line for each passage and each drill of each student."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from fractions import Fraction

from companion.practice.pace import pace_of
from companion.publish.report.class_grid import ClassGrid, ExerciseCell, StudentRow
from companion.publish.report.class_students import WELL, Work
from companion.publish.report.class_table import Collected
from companion.publish.report.report_file import ReportedDrill
from companion.publish.report.report_page import cell, goal_of, held_at
from companion.wording.phrases import bars_told, bpm_told

Cells = dict[str, object]
"""A line, by column."""

HEADER = (
    *("student", "minutes_in_all", "days", "last_day", "score", "part", "first_bar", "last_bar"),
    *("bars", "attempts", "held", "minutes", "stands", "held_at", "exercise", "drill", "goal"),
    *("reached", "state", "due", "days_overdue", "tempo", "goal_tempo", "beat", "outcome"),
    *("last_practised", "week_minutes", "ids"),
)
"""The columns. `reached` is `yes`, `no`, or empty if there is no goal; `tempo` the fastest that
held, or went as well as the goal asks; `outcome` how it went last; tempos in felt beats a
minute."""


def class_csv(rows: Sequence[StudentRow]) -> bytes:
    """The file's content. Cells that a spreadsheet would reckon with begin with '."""
    text = io.StringIO(newline="")
    lines = csv.DictWriter(text, HEADER, restval="", lineterminator="\r\n")
    lines.writeheader()
    for row in sorted(rows, key=lambda one: one.student.name.casefold()):
        lines.writerows(_lines(row))
    return b"\xef\xbb\xbf" + text.getvalue().encode("utf-8")


def _lines(row: StudentRow) -> Iterator[Cells]:
    student = row.student
    who: Cells = {
        "student": cell(student.name),
        "minutes_in_all": f"{sum(student.minutes.values()):.0f}",
        "days": len(student.minutes),
        "last_day": student.last_day,
        "week_minutes": f"{sum(row.week):.0f}",
        "ids": " ".join(student.players),
    }
    for place in sorted(student.work):
        yield who | _work(student.work[place])
    for one in filter(None, row.cells):
        for drill in one.exercise.drills:
            yield who | _drill(one, drill)
    if not student.work and not student.exercises:
        yield who


def _work(work: Work) -> Cells:
    told, tried = work.told, sorted(work.attempts.values(), key=lambda one: one.at)
    well = {(one.tempo, one.beat) for one in tried if one.outcome in WELL}
    best = max(well, key=lambda one: Fraction(*pace_of(*one)), default=None)
    return {
        "score": cell(told.title),
        "part": cell(told.part_name or told.part),
        "first_bar": told.first,
        "last_bar": told.last,
        "bars": cell(told.label),
        "attempts": len(tried),
        "held": work.held,
        "minutes": f"{work.minutes:.1f}",
        "stands": cell(told.state),
        "held_at": cell(held_at(told)),
        "tempo": bpm_told(best[0]) if best else "",
        "beat": cell(best[1]) if best else "",
        "outcome": tried[-1].outcome if tried else "",
        "last_practised": tried[-1].at.date().isoformat() if tried else "",
    }


def _drill(one: ExerciseCell, drill: ReportedDrill) -> Cells:
    exercise, aims = one.exercise, drill.aims
    return {
        "score": cell(drill.score_title or exercise.title),
        "part": cell(drill.part_name or drill.part),
        "first_bar": drill.first,
        "last_bar": drill.last,
        "bars": cell(drill.label or bars_told(drill.first, drill.last, "")),
        "attempts": drill.tries,
        "stands": cell(drill.state),
        "exercise": cell(exercise.title),
        "drill": cell(drill.title),
        "goal": cell(goal_of(drill)),
        "reached": "yes" if drill.state == "done" else "no",
        "state": cell(exercise.state),
        "due": exercise.due or "",
        "days_overdue": one.days_over or "",
        "tempo": bpm_told(drill.reached.exact) if drill.reached else "",
        "goal_tempo": bpm_told(aims.tempo.exact) if aims else "",
        "beat": cell(aims.tempo.beat) if aims else "",
        "outcome": drill.outcome or "",
        "last_practised": drill.last_day or "",
    }


# The class for programs, for `collect --json`.


def class_record(collected: Collected, grid: ClassGrid) -> dict[str, object]:
    """Names stand as they were written; what shows them has to escape them."""
    return {
        "reports": collected.reports,
        "day": grid.day.isoformat(),
        "students": [
            _student(one) for one in sorted(grid.rows, key=lambda row: row.student.name.casefold())
        ],
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
        "unclear": [{"name": one.name, "ids": list(one.players)} for one in collected.unclear],
    }


def _student(row: StudentRow) -> dict[str, object]:
    student = row.student
    return {
        "name": student.name,
        "ids": list(student.players),
        "reports": student.reports,
        "latest": student.made,
        "notes": student.notes,
        "minutes": {day: student.minutes[day] for day in sorted(student.minutes)},
        "week": [round(one, 2) for one in row.week],
        "attempts": student.attempts,
        "held": student.held,
        "passages": [_work_as_json(work) for _, work in sorted(student.work.items())],
        "exercises": [_exercise_as_json(one) for one in filter(None, row.cells)],
    }


def _exercise_as_json(one: ExerciseCell) -> dict[str, object]:
    return {
        "title": one.exercise.title,
        "state": one.exercise.state,
        "due": one.exercise.due,
        "days_overdue": one.days_over,
        "version": one.exercise.revision,
        "drills": [
            {
                "title": drill.title,
                "goal": goal_of(drill),
                "state": drill.state,
                "attempts": drill.tries,
                "reached": drill.reached.bpm if drill.reached else None,
                "last_practised": drill.last_day,
            }
            for drill in one.exercise.drills
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

"""Students and exercises against each other: who did which, how far, and who is behind.

Behind is who has an exercise that is not done and whose day is over. A report tells how it
was when it was made; one from before that day may be out of date, and says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from companion.publish.report.class_students import Student
from companion.publish.report.report_file import ReportedDrill, ReportedExercise, ReportedTempo

WEEK = 7
"""Days of a week, the last of them the day the reports are collected."""


@dataclass(frozen=True, slots=True)
class ExerciseColumn:
    """An exercise of the class."""

    id: str
    """Of its first version."""
    title: str
    """As its latest version has it."""
    due: date | None
    """None if it has no day, or not the same for all."""


@dataclass(frozen=True, slots=True)
class ExerciseCell:
    """How far one student is with one exercise of hers."""

    exercise: ReportedExercise
    days_over: int
    """Days since it was due and is not done; 0 if it is done, or not due yet."""
    drill: ReportedDrill | None
    """The first drill that is not done, or the last; None if there is none."""

    @property
    def drills_done(self) -> int:
        """Drills whose goal is reached."""
        return sum(one.state == "done" for one in self.exercise.drills)

    @property
    def reached(self) -> ReportedTempo | None:
        """The fastest tempo at which that drill went as well as its goal asks."""
        return self.drill.reached if self.drill else None

    @property
    def goal(self) -> ReportedTempo | None:
        """The tempo to reach in it."""
        return self.drill.aims.tempo if self.drill and self.drill.aims else None

    @property
    def last_day(self) -> str:
        """The last day it was practised, ISO 8601; empty if it is not known or never was."""
        return max((one.last_day or "" for one in self.exercise.drills), default="")

    @property
    def due(self) -> date | None:
        """By when."""
        return date.fromisoformat(self.exercise.due) if self.exercise.due else None


@dataclass(frozen=True, slots=True)
class StudentRow:
    """One student and their exercises."""

    student: Student
    cells: tuple[ExerciseCell | None, ...]
    """For each column; None if it is not in their list."""
    week: tuple[float, ...]
    """Minutes of the last seven days, the earliest first."""

    @property
    def overdue(self) -> list[ExerciseCell]:
        """What is not done and was due, the longest overdue first."""
        late = [one for one in self.cells if one and one.days_over]
        return sorted(late, key=lambda one: -one.days_over)


@dataclass(frozen=True, slots=True)
class ClassGrid:
    """A class on one day."""

    day: date
    columns: tuple[ExerciseColumn, ...]
    """What is due first comes first, what is due on no day last."""
    rows: tuple[StudentRow, ...]
    """Who is behind comes first, by how much; the others by name."""


def class_grid(students: Iterable[Student], day: date) -> ClassGrid:
    """The class as it stands on a day."""
    listed = list(students)
    columns = _columns(listed)
    rows = [
        StudentRow(
            student,
            tuple(_cell(student.exercises.get(column.id), day) for column in columns),
            tuple(
                student.minutes.get((day - timedelta(days=back)).isoformat(), 0.0)
                for back in reversed(range(WEEK))
            ),
        )
        for student in listed
    ]
    return ClassGrid(day, tuple(columns), tuple(sorted(rows, key=_in_order)))


def _in_order(row: StudentRow) -> tuple[int, int, str]:
    late = row.overdue
    return -len(late), -sum(one.days_over for one in late), row.student.name.casefold()


def _columns(students: Sequence[Student]) -> list[ExerciseColumn]:
    found: dict[str, list[ReportedExercise]] = {}
    for student in students:
        for id_, one in student.exercises.items():
            found.setdefault(id_, []).append(one)
    columns = []
    for id_, same in found.items():
        days = {one.due for one in same}
        due = next(iter(days)) if len(days) == 1 else None
        title = max(same, key=lambda one: one.revision).title
        columns.append(ExerciseColumn(id_, title, date.fromisoformat(due) if due else None))
    return sorted(columns, key=lambda one: (one.due or date.max, one.title.casefold(), one.id))


def _cell(exercise: ReportedExercise | None, day: date) -> ExerciseCell | None:
    if exercise is None:
        return None
    left = [one for one in exercise.drills if one.state != "done"]
    over = 0
    if exercise.due and exercise.state != "done":
        over = max(0, (day - date.fromisoformat(exercise.due)).days)
    drill = left[0] if left else exercise.drills[-1] if exercise.drills else None
    return ExerciseCell(exercise, over, drill)

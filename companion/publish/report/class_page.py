"""The class as a page: who is behind, who did what, which bars many find hard."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from html import escape
from itertools import chain

from companion.publish.html_page import document
from companion.publish.report.class_grid import (
    WEEK,
    ClassGrid,
    ExerciseCell,
    ExerciseColumn,
    StudentRow,
)
from companion.publish.report.class_students import Student
from companion.publish.report.class_table import Collected, HardBars
from companion.publish.report.report_file import ABOUT
from companion.publish.report.report_page import (
    exercise_table,
    held_at,
    html_table,
    place_told,
    safe_text,
)
from companion.wording.phrases import bars_told, bpm_told, counted, day_told, listed

COLUMNS = (
    *("Student", "Overdue", "Week", "Minutes", "Days", "Last day", "Attempts", "Held"),
    *("Exercises", "Passages"),
)
"""What is told of each student in one line."""


def class_page(collected: Collected, grid: ClassGrid) -> str:
    """The whole page; the grid is of the same students."""
    return document("The class", _body(collected, grid), style=_STYLE, script=_SORTING)


def _body(collected: Collected, grid: ClassGrid) -> Iterator[str]:
    yield "<h1>The class</h1>"
    students = counted(len(collected.students), "student")
    reports = counted(collected.reports, "report")
    yield f'<p class="lead">{students}, {reports}, on {day_told(grid.day)}.</p>'
    yield "<h2>Who is behind?</h2>"
    yield from _behind(grid)
    if grid.columns:
        yield "<h2>Exercises</h2>"
        yield from _exercises(grid)
    yield "<h2>The last seven days</h2>"
    yield from _week(grid)
    yield "<h2>Bars that are hard for many</h2>"
    yield from _hard(collected.hard)
    yield "<h2>Student by student</h2>"
    for row in sorted(grid.rows, key=lambda one: one.student.name.casefold()):
        yield from _student(row.student)
    yield from _left_out(collected)
    yield f'<footer><p class="quiet">{escape(ABOUT)}</p></footer>'


def behind_told(grid: ClassGrid) -> list[str]:
    """Who has something overdue, a line each, those first who are behind most."""
    return [_late_told(row) for row in grid.rows if row.overdue]


def idle_told(grid: ClassGrid) -> str:
    """Who did not practise this week, in a sentence; empty if all did."""
    idle = [safe_text(row.student.name) for row in grid.rows if not any(row.week)]
    names = listed(sorted(idle, key=str.casefold)) if idle else ""
    return f"No practice in the last seven days: {names}." if idle else ""


def _late_told(row: StudentRow) -> str:
    """`Ada Berg: Three over two (5 days), Two over three (1 day)`, and how old the report is."""
    titles = (
        f"{safe_text(one.exercise.title)} ({counted(one.days_over, 'day')})" for one in row.overdue
    )
    told = f"{safe_text(row.student.name)}: {', '.join(titles)}"
    made = date.fromisoformat(row.student.made[:10])
    is_old = any(one.due and made <= one.due for one in row.overdue)
    return f"{told}; the report is of {day_told(made)}" if is_old else told


def _behind(grid: ClassGrid) -> Iterator[str]:
    late = behind_told(grid)
    students = counted(len(grid.rows), "student")
    yield f"<p>{f'{len(late)} of {students}:' if late else 'Nothing is overdue.'}</p>"
    if late:
        yield f"<ul class='behind'>{''.join(f'<li>{escape(line)}</li>' for line in late)}</ul>"
    if idle := idle_told(grid):
        yield f"<p>{escape(idle)}</p>"


# Students × exercises.


def _exercises(grid: ClassGrid) -> Iterator[str]:
    yield (
        '<p class="quiet">Tempo: the fastest that went as well as the goal asks, and the goal; of '
        "several drills the first that is not done. Day: last practised.</p>"
    )
    yield '<div class="wide"><table class="class"><thead><tr><th scope="col">Student</th>'
    yield '<th scope="col" class="number">Overdue</th>'
    yield from (f'<th scope="col">{_headed(one)}</th>' for one in grid.columns)
    yield '<th scope="col">Report</th></tr></thead><tbody>'
    for row in grid.rows:
        made = date.fromisoformat(row.student.made[:10])
        late = len(row.overdue)
        yield f'<tr><th scope="row">{escape(safe_text(row.student.name))}</th>'
        sign = ' class="late"' if late else ""
        yield f'<td data-by="{late}"{sign}>{late or ""}</td>'
        yield from map(_cell, row.cells, grid.columns)
        yield f'<td data-by="{made.toordinal()}">{_short(made)}</td></tr>'
    yield "</tbody></table></div>"


def _headed(column: ExerciseColumn) -> str:
    due = f"<small>due {_short(column.due)}</small>" if column.due else ""
    return f"{escape(safe_text(column.title, 60))}{due}"


def _cell(cell: ExerciseCell | None, column: ExerciseColumn) -> str:
    if cell is None:
        return '<td data-by="-1">–</td>'
    lines = [_state(cell), _tempo(cell)]
    if cell.days_over:
        lines.insert(0, f"{counted(cell.days_over, 'day')} overdue")
    if cell.last_day:
        lines.append(_short(date.fromisoformat(cell.last_day)))
    if cell.due and cell.due != column.due and not cell.days_over:
        lines.append(f"due {_short(cell.due)}")
    kind = "late" if cell.days_over else "done" if cell.exercise.state == "done" else ""
    told = "<br>".join(escape(safe_text(line)) for line in lines if line)
    return f'<td data-by="{_rank(cell)}" class="{kind}">{told}</td>'


def _state(cell: ExerciseCell) -> str:
    """`✓ done`, `1 of 2 done`, `not begun`."""
    drills = len(cell.exercise.drills)
    state = cell.exercise.state
    if state != "done" and drills > 1 and cell.drills_done:
        state = f"{cell.drills_done} of {drills} done"
    return {"done": "✓ done", "assigned": "not begun"}.get(state, state)


def _tempo(cell: ExerciseCell) -> str:
    """`60 of 72`."""
    if cell.goal is None:
        return ""
    return f"{bpm_told(cell.reached.exact) if cell.reached else '–'} of {bpm_told(cell.goal.exact)}"


def _rank(cell: ExerciseCell) -> int:
    """What a column is sorted by: overdue the longest first, then by how far it is."""
    if cell.days_over:
        return -1000 - cell.days_over
    if cell.exercise.state == "done":
        return 1000
    share = cell.reached.exact / cell.goal.exact if cell.reached and cell.goal else 0
    return 100 * cell.drills_done + int(min(share, 1) * 99)


def _short(day: date) -> str:
    """`5 Mar`."""
    return f"{day.day} {day:%b}"


# The week, what is hard, and student by student.


def _week(grid: ClassGrid) -> Iterator[str]:
    days = [grid.day - timedelta(days=back) for back in reversed(range(WEEK))]
    yield '<div class="wide"><table class="class"><thead><tr><th scope="col">Student</th>'
    yield from (f'<th scope="col">{day:%a} {day.day}</th>' for day in days)
    yield '<th scope="col">Minutes</th><th scope="col">Days</th></tr></thead><tbody>'
    for row in sorted(grid.rows, key=lambda one: one.student.name.casefold()):
        yield f'<tr><th scope="row">{escape(safe_text(row.student.name))}</th>'
        numbers = [
            *(round(one) for one in row.week),
            round(sum(row.week)),
            sum(map(bool, row.week)),
        ]
        yield from (f'<td data-by="{one}">{one or "·"}</td>' for one in numbers)
        yield "</tr>"
    yield "</tbody></table></div>"


def _hard(found: Sequence[HardBars]) -> Iterator[str]:
    if not found:
        yield "<p>None that two or more have tried and that did not hold.</p>"
        return
    yield (
        "<p>The share of attempts that did not hold, as the mean over the students who tried; "
        "each student counts once.</p>"
    )
    rows = (
        (
            f"{one.title}, {bars_told(one.first, one.last, one.label)}",
            ", ".join(one.parts),
            str(one.students),
            failing(one),
        )
        for one in found
    )
    yield from html_table(("Bars", "Parts", "Students", "Did not hold"), rows)


def failing(one: HardBars) -> str:
    """`62 %`."""
    return f"{float(100 * one.failing):.0f} %"


def _student(student: Student) -> Iterator[str]:
    yield f"<h3>{escape(safe_text(student.name))}</h3>"
    for note in student.notes:
        yield f"<p>“{escape(safe_text(note, 2000))}”</p>"
    for exercise in student.exercises.values():
        yield f"<h4>{escape(safe_text(exercise.title))}: {escape(safe_text(exercise.state))}</h4>"
        yield from exercise_table(exercise)
    if student.work:
        yield "<h4>Passages</h4>"
        rows = (
            (
                place_told(one.told),
                str(len(one.attempts)),
                str(one.held),
                f"{one.minutes:.0f}",
                held_at(one.told) or "nothing yet",
                one.told.state,
            )
            for _, one in sorted(student.work.items())
        )
        head = ("Passage", "Attempts", "Held", "Minutes", "Held last at", "Stands")
        yield from html_table(head, rows)


def _left_out(collected: Collected) -> Iterator[str]:
    sentences: Iterable[str] = chain(
        (
            f"Two logs are called “{one.name}”: {' and '.join(one.players)}. If they are one "
            "student's two machines, say so with companion collect --same."
            for one in collected.unclear
        ),
        (f"Left out: {one.sentence()}" for one in collected.left_out),
    )
    items = [f"<li>{escape(safe_text(one, 500))}</li>" for one in sentences]
    if items:
        yield f"<h2>To look at</h2><ul>{''.join(items)}</ul>"


def summary(row: StudentRow) -> tuple[str, ...]:
    """One student in a line, in the order of `COLUMNS`."""
    student = row.student
    attempts = student.attempts
    states = ", ".join(f"{count} {name}" for name, count in sorted(student.states.items()))
    last = student.last_day
    return (
        safe_text(student.name),
        str(len(row.overdue) or ""),
        f"{sum(row.week):.0f}",
        f"{sum(student.minutes.values()):.0f}",
        str(len(student.minutes)),
        day_told(date.fromisoformat(last)) if last else "never",
        str(attempts),
        f"{100 * student.held // attempts} %" if attempts else "",
        f"{student.done} of {len(student.exercises)} done" if student.exercises else "",
        safe_text(states),
    )


_STYLE = """
body { max-width: 90rem; }
table.class { width: auto; }
table.class td, table.class th { font-size: .85rem; line-height: 1.3; white-space: nowrap; }
table.class thead th { white-space: normal; min-width: 5rem; vertical-align: bottom; }
table.class th[scope=row] { position: sticky; left: 0; }
table.class thead th.number { min-width: 0; }
ul.behind { columns: 36rem; }
small { display: block; font-weight: normal; }
td.late { background: #ffe0cc; font-weight: 600; box-shadow: inset 4px 0 #b33c00; }
td.done { background: #e6f2e6; }
th button { font: inherit; color: inherit; background: none; border: 0; padding: 0;
  text-align: left; cursor: pointer; text-decoration: underline dotted; }
th button:focus-visible { outline: 3px solid #0b3d91; }
th[aria-sort=ascending] button::after { content: " ▲"; }
th[aria-sort=descending] button::after { content: " ▼"; }
@page { size: A4 landscape; margin: 10mm; }
@media print {
  .wide { overflow: visible; }
  table.class td, table.class th { font-size: 7.5pt; padding: 1pt 3pt; white-space: normal; }
  table.class th[scope=row] { position: static; }
  th button { text-decoration: none; }
  thead { display: table-header-group; }
  td.late, td.done { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""

_SORTING = """
for (const table of document.querySelectorAll('table.class')) {
  const heads = [...table.tHead.rows[0].cells];
  const key = (row, at) => row.cells[at].dataset.by === undefined
    ? row.cells[at].textContent : Number(row.cells[at].dataset.by);
  heads.forEach((head, at) => {
    const button = document.createElement('button');
    button.type = 'button';
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener('click', () => {
      const up = head.getAttribute('aria-sort') !== 'ascending';
      heads.forEach(one => one.removeAttribute('aria-sort'));
      head.setAttribute('aria-sort', up ? 'ascending' : 'descending');
      const rows = [...table.tBodies[0].rows];
      rows.sort((a, b) => {
        const [one, other] = [key(a, at), key(b, at)];
        const order = typeof one === 'string' ? one.localeCompare(other) : one - other;
        return up ? order : -order;
      });
      table.tBodies[0].append(...rows);
    });
  });
}
"""
"""Sorts a table by the column whose head is pressed; without it the order stays as it came."""

"""The class as a page: who practised what, where each stands, which bars all find hard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from html import escape

from companion.publish.html_page import document
from companion.publish.report.class_table import Collected, HardBars, Student
from companion.publish.report.report_file import ABOUT
from companion.publish.report.report_page import goal_of, held_at, html_table, place_told, safe_text
from companion.wording.phrases import bars_told, counted, day_told

COLUMNS = ("Student", "Minutes", "Days", "Last day", "Attempts", "Held", "Exercises", "Passages")
"""What is told of each student in one line."""


def class_page(collected: Collected) -> str:
    """The whole page."""
    return document("The class", _body(collected))


def _body(collected: Collected) -> Iterator[str]:
    yield "<h1>The class</h1>"
    students = counted(len(collected.students), "student")
    yield f'<p class="lead">{students}, {counted(collected.reports, "report")}.</p>'
    yield "<h2>Who practised</h2>"
    yield from html_table(COLUMNS, map(summary, collected.students))
    yield "<h2>Bars that are hard for many</h2>"
    yield from _hard(collected.hard)
    yield "<h2>Student by student</h2>"
    for student in collected.students:
        yield from _student(student)
    if collected.left_out:
        yield "<h2>Left out</h2>"
        yield "<ul>"
        for one in collected.left_out:
            yield f"<li>{escape(safe_text(one.sentence(), 500))}</li>"
        yield "</ul>"
    yield f'<footer><p class="quiet">{escape(ABOUT)}</p></footer>'


def summary(student: Student) -> tuple[str, ...]:
    """One student in a line, in the order of `COLUMNS`."""
    attempts = student.attempts
    states = ", ".join(f"{count} {name}" for name, count in sorted(student.states.items()))
    last = student.last_day
    return (
        safe_text(student.name),
        f"{sum(student.minutes.values()):.0f}",
        str(len(student.minutes)),
        day_told(date.fromisoformat(last)) if last else "never",
        str(attempts),
        f"{100 * student.held // attempts} %" if attempts else "",
        f"{student.done} of {len(student.exercises)} done" if student.exercises else "",
        safe_text(states),
    )


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
        drills = (
            (one.title, goal_of(one), one.state, str(one.tries), str(one.good_days))
            for one in exercise.drills
        )
        yield from html_table(("Drill", "Goal", "Stands", "Attempts", "Good days"), drills)
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

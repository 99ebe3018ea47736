"""A report as a page, for a teacher who only wants to read."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from html import escape

from companion.files import csv_cell
from companion.practice.attempt import Bars, Outcome
from companion.publish.html_page import document
from companion.publish.report.report_file import (
    ABOUT,
    Report,
    ReportedDrill,
    ReportedExercise,
    ReportedPassage,
)
from companion.wording.exercise_sentences import goal_told
from companion.wording.phrases import bpm_told, counted, day_told, passage_told, tempo_told


def report_page(report: Report) -> str:
    """The whole page."""
    who = safe_text(report.name) or "A player"
    return document(f"{who}: practice report", _body(report, who))


def _body(report: Report, who: str) -> Iterator[str]:
    yield f"<h1>{escape(who)}: practice report</h1>"
    yield f'<p class="lead">{escape(_covers(report))}</p>'
    if report.note:
        yield "<h2>What the player says</h2>"
        yield from (f"<p>{escape(safe_text(line, 2000))}</p>" for line in report.note.splitlines())
    yield from _minutes(report)
    if report.exercises:
        yield "<h2>Exercises</h2>"
        for exercise in report.exercises:
            yield from _exercise(exercise)
    if report.passages:
        yield "<h2>Passages</h2>"
        yield from _passages(report.passages)
    yield "<footer>"
    yield f'<p class="quiet">{escape(ABOUT)} To collect it, use the file next to this page.</p>'
    yield "</footer>"


def _covers(report: Report) -> str:
    made = day_told(date.fromisoformat(report.made[:10]))
    what = "Only the exercises below" if report.only_exercises else "Everything practised"
    since = f" since {day_told(date.fromisoformat(report.since))}" if report.since else ""
    return f"{what}{since}, as of {made}."


def _minutes(report: Report) -> Iterator[str]:
    days = sorted(report.minutes)
    total = sum(report.minutes.values())
    yield "<h2>Time</h2>"
    yield f"<p>{total:.0f} minutes on {counted(len(days), 'day')}.</p>"
    if not days:
        return
    rows = ((day_told(date.fromisoformat(day)), f"{report.minutes[day]:.0f}") for day in days)
    yield from html_table(("Day", "Minutes"), rows)


def _exercise(exercise: ReportedExercise) -> Iterator[str]:
    due = f", due {day_told(date.fromisoformat(exercise.due))}" if exercise.due else ""
    yield f"<h3>{escape(safe_text(exercise.title))}: {escape(safe_text(exercise.state))}{due}</h3>"
    yield from exercise_table(exercise)


def exercise_table(exercise: ReportedExercise) -> Iterator[str]:
    """How far each drill is."""
    rows = (
        (
            drill.title,
            goal_of(drill),
            drill.state,
            tempo_told(drill.reached.beat, drill.reached.exact) if drill.reached else "",
            str(drill.tries),
            str(drill.good_days),
            _last_day(drill),
        )
        for drill in exercise.drills
    )
    head = ("Drill", "Goal", "Stands", "Reached", "Attempts", "Good days", "Last time")
    yield from html_table(head, rows)


def _last_day(drill: ReportedDrill) -> str:
    if drill.last_day is None:
        return ""
    day = day_told(date.fromisoformat(drill.last_day))
    return f"{drill.outcome} on {day}" if drill.outcome else day


def _passages(passages: list[ReportedPassage]) -> Iterator[str]:
    rows = (
        (
            place_told(one),
            str(len(one.attempts)),
            str(sum(each.outcome >= Outcome.HELD for each in one.attempts)),
            _range(one),
            held_at(one) or "nothing yet",
            one.state,
            _last_time(one),
        )
        for one in passages
    )
    head = ("Passage", "Attempts", "Held", "Tempos tried", "Held last at", "Stands", "Last time")
    yield from html_table(head, rows)


def _last_time(passage: ReportedPassage) -> str:
    if not passage.attempts:
        return ""
    last = passage.attempts[-1]
    return f"{last.outcome} on {day_told(last.at.date())}"


def _range(passage: ReportedPassage) -> str:
    """`quarter = 40 to 66`."""
    tempos = [one.tempo for one in passage.attempts]
    if not tempos:
        return ""
    low, high = (bpm_told(tempo) for tempo in (min(tempos), max(tempos)))
    return f"{passage.attempts[-1].beat} = {low}" + (f" to {high}" if high != low else "")


def goal_of(drill: ReportedDrill) -> str:
    """When a drill is reached; in a report of an earlier form, in the words it came with."""
    aims = drill.aims
    if aims is None:
        return drill.goal
    tempo = tempo_told(aims.tempo.beat, aims.tempo.exact)
    return goal_told(aims.outcome, tempo, aims.times, aims.days)


def held_at(passage: ReportedPassage) -> str:
    """The tempo that held last; empty if none did."""
    held = passage.held_tempo
    return passage.held if held is None else tempo_told(held.beat, held.exact)


def place_told(passage: ReportedPassage) -> str:
    """`A study, Viola bars 13–20`."""
    bars = Bars(passage.score, passage.part, passage.first, passage.last)
    where = passage_told(bars, passage.part_name, passage.label)
    return f"{passage.title}, {where}" if passage.title else where


def html_table(head: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> Iterator[str]:
    """A table, its first column naming each row; whatever comes in is shown as text."""
    yield '<div class="wide"><table><thead><tr>'
    yield "".join(f'<th scope="col">{escape(one)}</th>' for one in head)
    yield "</tr></thead><tbody>"
    for name, *cells in rows:
        shown_cells = "".join(f"<td>{escape(safe_text(one))}</td>" for one in cells)
        yield f'<tr><th scope="row">{escape(safe_text(name))}</th>{shown_cells}</tr>'
    yield "</tbody></table></div>"


# Words out of somebody else's file, made harmless where they are shown.


def safe_text(text: str, most: int = 200) -> str:
    """One line without control or direction signs, cut where it is too long."""
    if not text.isprintable():
        text = "".join(letter if letter.isprintable() else " " for letter in text)
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 1] + "…"


def cell(text: str) -> str:
    """The same for a cell of a spreadsheet: what would be a formula gets a mark before it."""
    return csv_cell.cell(safe_text(text, 2000))

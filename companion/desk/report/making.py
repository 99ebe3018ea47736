"""A report from the student's log and list, written as a file and as a page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from companion.click.whole_file import whole_file
from companion.desk.editions import attempt_now, editions
from companion.desk.exercises.assigned import assigned, assignment_named
from companion.desk.folders import Folders
from companion.desk.report.of_exercises import attempts_at, exercises_told
from companion.desk.report.of_log import attempts_since, passages_told
from companion.desk.report.page import report_page
from companion.desk.standings import all_standings
from companion.errors import CompanionError, RequestError
from companion.journal.log import Log
from companion.practice.day import minutes_a_day, practice_day, span_of
from companion.practice.report import Report
from companion.practice.report_file import write_report

LONGEST_NOTE = 4000
"""Letters of a note to the teacher at most."""
LONGEST_NAME = 100
"""Letters of a name at most."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a report shall tell."""

    name: str = ""
    """Who sends it."""
    note: str = ""
    """What she wants to tell."""
    since: date | None = None
    """The first practice day; None for everything."""
    exercises: tuple[str, ...] = ()
    """Only these exercises of the list; empty for everything."""


@dataclass(frozen=True, slots=True)
class Sent:
    """What was written."""

    file: Path
    """The file for the teacher."""
    page: Path
    """The same to read."""
    report: Report
    """What they hold."""


def make_report(folders: Folders, asked: Asked, at: datetime) -> Report:
    """Everything the log and the list say, as of a moment.

    Raises RequestError for an exercise that is not in the list or a text too long,
    CompanionError where the log cannot be read or there is nothing to report.
    """
    _check(asked)
    named = [assignment_named(folders, typed).id for typed in asked.exercises]
    listed = [one for one in assigned(folders).assigned if not named or one.assignment.id in named]
    known = editions(folders)
    with Log.read_only(folders.data) as log:
        ends = log.day_ends
        found = attempts_since(log, asked.since, ends)
        practised = log.spans() if not named else []
    if named:
        found = attempts_at(found, listed)
        practised = [span_of(one) for one in found]
    minutes = {
        day.isoformat(): round(spent, 2)
        for day, spent in minutes_a_day(practised, ends).items()
        if asked.since is None or day >= asked.since
    }
    if not (found or minutes or listed):
        raise CompanionError(
            "there is nothing to report yet", next="Practise first, or ask for an earlier day."
        )
    return Report(
        made=at.isoformat(timespec="seconds"),
        name=_plain(asked.name),
        note=_plain(asked.note),
        since=asked.since.isoformat() if asked.since else None,
        only_exercises=bool(named),
        minutes=minutes,
        passages=passages_told(
            [attempt_now(one, known) for one in found],
            all_standings(folders),
            practice_day(at, ends),
        ),
        exercises=exercises_told(listed),
    )


def _check(asked: Asked) -> None:
    for what, text, most in (
        ("name", asked.name, LONGEST_NAME),
        ("note", asked.note, LONGEST_NOTE),
    ):
        if len(text) > most:
            raise RequestError(f"the {what} has {len(text)} letters", next=f"Keep it to {most}.")


def _plain(text: str) -> str:
    """What any program can read: letters that are none (from a broken terminal) replaced."""
    return text.strip().encode("utf-8", "replace").decode("utf-8")


def send_report(report: Report, file: Path, page: Path) -> Sent:
    """Write both. Raises RequestError for names that cannot be meant, NotWritten."""
    if file.suffix.lower() != ".json":
        raise RequestError(
            f"a report cannot be written as “{file.suffix or file.name}”", next="End it in .json."
        )
    if page == file:
        raise RequestError("file and page have one name", next="End the page in .html.")
    with whole_file(file) as out:
        out.write(write_report(report))
    with whole_file(page) as out:
        out.write(report_page(report).encode())
    return Sent(file, page, report)

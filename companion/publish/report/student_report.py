"""A report from the student's log and list, written as a file and as a page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time
from pathlib import Path
from secrets import token_hex

import msgspec

from companion.errors import CompanionError, RequestError
from companion.files.folders import Folders
from companion.files.whole_file import keep_json, kept_json, write_all
from companion.journal.editions import attempt_now, editions
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings
from companion.practice.attempt import Attempt, Bars, bars_of
from companion.practice.mastery.standing import Standing, state
from companion.practice.pace import tempo_at
from companion.practice.practice_day import minutes_a_day, practice_day, span_of
from companion.publish.report.report_file import (
    Report,
    ReportedDrill,
    ReportedExercise,
    ReportedGoal,
    ReportedPassage,
    ReportedTempo,
    write_report,
)
from companion.publish.report.report_page import report_page
from companion.session.assigned_exercises import Assigned, assigned, assignment_named
from companion.wording.exercise_sentences import target_told
from companion.wording.phrases import counted, tempo_told

LONGEST_NOTE = 4000
"""Letters of a note to the teacher at most."""
_LONGEST_NAME = 100
"""Letters of a name at most."""


@dataclass(frozen=True, slots=True)
class ReportRequest:
    """What a report shall tell."""

    name: str = ""
    """Who sends it."""
    note: str = ""
    """What the student wants to tell."""
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


def make_report(folders: Folders, asked: ReportRequest, at: datetime) -> Report:
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
    minutes = _minutes_since(asked.since, minutes_a_day(practised, ends))
    if not (found or minutes or listed):
        raise CompanionError(
            "there is nothing to report yet", next="Practise first, or ask for an earlier day."
        )
    return Report(
        made=at.isoformat(timespec="seconds"),
        name=_readable(asked.name),
        note=_readable(asked.note),
        since=asked.since.isoformat() if asked.since else None,
        only_exercises=bool(named),
        minutes=minutes,
        passages=passages_told(
            [attempt_now(one, known) for one in found],
            all_standings(folders),
            practice_day(at, ends),
        ),
        exercises=exercises_told(listed, ends),
        player=_player(folders),
    )


def _minutes_since(since: date | None, spent: Mapping[date, float]) -> dict[str, float]:
    """Minutes by practice day, ISO 8601, from a day on."""
    return {
        day.isoformat(): round(minutes, 2)
        for day, minutes in spent.items()
        if since is None or day >= since
    }


class _Player(msgspec.Struct):
    id: str


def _player(folders: Folders) -> str:
    """Whose log this is, drawn at random once, so that two players of one name are told apart.

    Raises CompanionError if it cannot be kept.
    """
    place = folders.data / "player.json"
    kept = kept_json(place, _Player)
    if kept is None:
        kept = _Player(token_hex(8))
        keep_json(place, kept)
    return kept.id


def _check(asked: ReportRequest) -> None:
    for what, text, most in (
        ("name", asked.name, _LONGEST_NAME),
        ("note", asked.note, LONGEST_NOTE),
    ):
        if len(text) > most:
            raise RequestError(f"the {what} has {len(text)} letters", next=f"Keep it to {most}.")


def _readable(text: str) -> str:
    """What any program can read: letters that are none (from a broken terminal) replaced."""
    return text.strip().encode("utf-8", "replace").decode("utf-8")


def send_report(report: Report, file: Path, page: Path | None = None) -> Sent:
    """Write both, the page beside the file unless it is named. Raises RequestError for names
    that cannot be meant, NotWritten before anything is written."""
    if file.suffix.lower() != ".json":
        raise RequestError(
            f"a report cannot be written as “{file.suffix or file.name}”", next="End it in .json."
        )
    if page == file:
        raise RequestError("file and page have one name", next="End the page in .html.")
    beside = page or page_beside(file)
    contents = {file: write_report(report), beside: report_page(report).encode()}
    write_all(contents, [file, page or file])
    return Sent(file, beside, report)


def page_beside(file: Path) -> Path:
    """Where the page of a report lies if nobody says."""
    return file.with_suffix(".html")


def attempts_in(report: Report) -> int:
    """How many attempts it tells of."""
    return sum(len(one.attempts) for one in report.passages)


def sent_told(sent: Sent) -> str:
    """`12 attempts, 3 passages, 1 exercise, 45 minutes`."""
    report = sent.report
    return ", ".join(
        (
            counted(attempts_in(report), "attempt"),
            counted(len(report.passages), "passage"),
            counted(len(report.exercises), "exercise"),
            f"{sum(report.minutes.values()):.0f} minutes",
        )
    )


# What the student's list says, exercise by exercise, as it is reported.


def attempts_at(attempts: Iterable[Attempt], listed: Sequence[Assigned]) -> list[Attempt]:
    """Those at the drills of some exercises, since each was opened."""
    since: dict[Bars, datetime] = {}
    for one in listed:
        for bars in (bars for target in one.assignment.targets for bars in target.everywhere):
            earliest = since.get(bars, one.assignment.opened)
            since[bars] = min(earliest, one.assignment.opened)
    return [one for one in attempts if bars_of(one) in since and one.at >= since[bars_of(one)]]


def exercises_told(listed: Iterable[Assigned], ends: time) -> list[ReportedExercise]:
    """Every exercise and how far each drill is."""
    return [
        ReportedExercise(
            id=one.assignment.id,
            title=one.assignment.exercise.title,
            due=due.isoformat() if (due := one.assignment.exercise.due) else None,
            state=one.state.value,
            drills=list(_drills(one, ends)),
            first=one.assignment.revision.first,
            revision=one.assignment.revision.number,
        )
        for one in listed
    ]


def _drills(one: Assigned, ends: time) -> Iterable[ReportedDrill]:
    pairs = zip(one.assignment.targets, one.drills, strict=True)
    for number, (target, progress) in enumerate(pairs, 1):
        fastest, last = progress.fastest, progress.last
        yield ReportedDrill(
            title=one.assignment.exercise.named(number),
            score=target.bars.score_digest,
            part=target.bars.part_id,
            first=target.bars.first,
            last=target.bars.last,
            goal=target_told(target),
            state=progress.state.value,
            tries=progress.tries,
            good_days=progress.good_days,
            aims=ReportedGoal(
                outcome=target.outcome,
                tempo=ReportedTempo(bpm=str(target.tempo), beat=target.beat),
                times=target.times,
                days=target.days,
            ),
            score_title=target.score_title,
            part_name=target.part_name,
            label=target.bars_label,
            reached=ReportedTempo(bpm=str(fastest), beat=target.beat) if fastest else None,
            last_day=practice_day(last.at, ends).isoformat() if last else None,
            outcome=last.outcome if last else None,
        )


# What the log says, passage by passage, as it is reported.


_A_DAY = 24 * 60 * 60.0


def attempts_since(log: Log, since: date | None, ends: time) -> list[Attempt]:
    """Attempts from a practice day on, in order of time."""
    return [
        one
        for one in log.attempts(newest_first=False)
        if since is None or practice_day(one.at, ends) >= since
    ]


def passages_told(
    attempts: Iterable[Attempt], standings: Iterable[Standing], today: date
) -> list[ReportedPassage]:
    """Every passage that was tried, with its attempts in order of time."""
    tried: dict[Bars, list[Attempt]] = {}
    for attempt in attempts:
        tried.setdefault(bars_of(attempt), []).append(attempt)
    stands = {one.bars: one for one in standings}
    return [_passage(tried[bars], stands.get(bars), today) for bars in sorted(tried)]


def _passage(attempts: Sequence[Attempt], stands: Standing | None, today: date) -> ReportedPassage:
    last = attempts[-1]
    held = None
    if stands and stands.held:
        beat = stands.aims.beat
        held = ReportedTempo(bpm=str(tempo_at(stands.held, beat)), beat=beat)
    return ReportedPassage(
        score=last.score_digest,
        title=last.score_title,
        part=last.part_id,
        part_name=last.part_name,
        first=last.first_bar,
        last=last.last_bar,
        label=last.bars_label,
        state=state(stands, today).value if stands else "",
        held=tempo_told(held.beat, held.exact) if held else "",
        held_tempo=held,
        attempts=[
            replace(one, seconds=round(min(one.seconds, _A_DAY), 1), note="") for one in attempts
        ],
    )

"""A week on one page of Markdown, for a teacher or for oneself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta

from companion.files.folders import Folders
from companion.journal.editions import attempt_now, editions
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings
from companion.practice.attempt import Attempt, Bars, Outcome, bars_of
from companion.practice.entry import LogEntry
from companion.practice.mastery.progress_series import Week, practice_calendar
from companion.practice.mastery.standing import Standing, state
from companion.practice.practice_day import minutes_a_day, practice_day
from companion.wording.phrases import counted, day_told, pace_told, passage_told

_AT_ONCE = 200
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_WEEK = timedelta(days=7)


def week_page(folders: Folders, monday: date, at: datetime) -> str:
    """The week from a Monday; how passages stand is told as of the moment `at`."""
    known = editions(folders)
    with Log.read_only(folders.data) as log:
        ends = log.day_ends
        begin = datetime.combine(monday, time(), at.tzinfo) - timedelta(days=1)
        minutes = minutes_a_day(log.spans(begin, begin + _WEEK + timedelta(days=3)), ends)
        attempts = [
            attempt_now(one, known)
            for one in _since(log, begin)
            if monday <= practice_day(one.at, ends) < monday + _WEEK
        ]
        entries = [
            one
            for one in log.entries.current()
            if monday <= practice_day(one.at, ends) < monday + _WEEK
        ]
    (week,) = practice_calendar(minutes, monday, monday)
    standings = all_standings(folders)
    lines = [
        f"# Practice, week of {day_told(monday)}",
        "",
        *_minutes(week),
        *_passages(attempts, standings, practice_day(at, ends)),
        *_entries(entries),
        *_coming(standings, practice_day(at, ends)),
    ]
    return "\n".join(lines).rstrip() + "\n"


def _since(log: Log, begin: datetime) -> list[Attempt]:
    """The attempts from a moment on, without reading the whole log."""
    limit = _AT_ONCE
    while True:
        found = log.attempts(limit=limit)
        if len(found) < limit or found[-1].at < begin:
            return found
        limit *= 4


def _minutes(week: Week) -> Iterator[str]:
    practised = sum(minutes > 0 for minutes in week.minutes)
    yield f"**{week.total:.0f} minutes** on {counted(practised, 'day')}."
    yield ""
    yield "| " + " | ".join(_DAYS) + " |"
    yield "|" + "---|" * len(_DAYS)
    yield "| " + " | ".join(f"{minutes:.0f}" if minutes else "" for minutes in week.minutes) + " |"
    yield ""


def _passages(
    attempts: Sequence[Attempt], standings: Sequence[Standing], today: date
) -> Iterator[str]:
    if not attempts:
        return
    stands = {one.bars: one for one in standings}
    tried: dict[Bars, list[Attempt]] = {}
    for attempt in attempts:
        tried.setdefault(bars_of(attempt), []).append(attempt)
    yield "## Passages"
    yield ""
    yield "| passage | attempts | clean | tempo held last | goal | stands |"
    yield "|---|---|---|---|---|---|"
    for bars in sorted(tried):
        if bars in stands:
            yield _passage(tried[bars], stands[bars], today)
    yield ""


def _passage(attempts: Sequence[Attempt], one: Standing, today: date) -> str:
    clean = sum(attempt.outcome >= Outcome.HELD for attempt in attempts)
    beat = one.aims.beat
    held = pace_told(one.held, beat) if one.held else "nothing yet"
    goal = pace_told(one.aims.goal, beat) if one.aims.is_set else "none set"
    where = _where(one)
    how = state(one, today)
    cells = (_cell(where), str(len(attempts)), str(clean), held, goal, how.value)
    return f"| {' | '.join(cells)} |"


def _entries(entries: Sequence[LogEntry]) -> Iterator[str]:
    if not entries:
        return
    yield "## Besides"
    yield ""
    for one in sorted(entries, key=lambda entry: entry.at):
        note = f": {one.note}" if one.note else ""
        day = f"{_DAYS[one.at.weekday()]} {one.at.day}"
        yield f"- {day}, {one.what.value}, {one.seconds / 60:.0f} min{note}"
    yield ""


def _coming(standings: Sequence[Standing], today: date) -> Iterator[str]:
    soon = [one for one in standings if one.last and one.planned < (today + _WEEK).toordinal()]
    if not soon:
        return
    yield "## Due in the seven days to come"
    yield ""
    for one in sorted(soon, key=lambda one: (one.planned, one.bars))[:20]:
        where = _where(one)
        yield f"- {day_told(max(one.planned, today.toordinal()))}: {where}"
    if len(soon) > 20:
        yield f"- and {len(soon) - 20} more"
    yield ""


def _where(one: Standing) -> str:
    return f"{one.title} {passage_told(one.bars, one.part_name, one.label)}".lstrip()


def _cell(said: str) -> str:
    """Text that cannot break a table."""
    return said.replace("|", "\\|").replace("\n", " ")

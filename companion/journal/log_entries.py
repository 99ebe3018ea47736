"""The practice log as both faces use it: note an attempt, look through what was practised."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta, timezone

from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.queries import ScoreSummary
from companion.journal.unreadable_rows import UnreadableRow
from companion.practice.attempt import Attempt, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.practice_day import Session, sessions
from companion.practice.revision import Revision


def logged_attempts(
    folders: Folders,
    *,
    part: str | None = None,
    digest: str | None = None,
    last: int | None = None,
) -> list[Attempt]:
    """The latest attempts, newest first; none where there is no log yet.

    `part` is a part's id, or the beginning of its printed name in any case of letters;
    `digest` identifies a score; `last` is how many at most. Raises CompanionError if the
    log cannot be read.
    """
    with Log.read_only(folders.data) as log:
        return log.attempts(part_begins=part, score_digest=digest, limit=last)


def practised_scores(folders: Folders, most: int | None = None) -> list[ScoreSummary]:
    """The scores practised last, each once, the latest first; all of them if `most` is None."""
    with Log.read_only(folders.data) as log:
        return log.scores(most)


# Free entries and corrections, as both faces make them.


_FEWEST = 4
"""Letters of an id that are enough to name an entry by."""


@dataclass(frozen=True, slots=True)
class EntryChange:
    """What is to be different; None leaves it as it is."""

    outcome: Outcome | None = None
    note: str | None = None
    what: Activity | None = None
    """Of a free entry."""
    seconds: float | None = None
    """Of a free entry."""
    withdraw: bool | None = None
    """Delete it, or bring it back."""
    at: datetime | None = None
    """When a free entry ended."""


def add_entry(folders: Folders, entry: LogEntry) -> LogEntry:
    """Write a free entry down; on disk when this returns."""
    with Log.open(folders.data) as log:
        return log.entries.add(entry)


def logged_entries(folders: Folders, last: int | None = None) -> list[LogEntry]:
    """The latest free entries, newest first, at most `last`."""
    with Log.read_only(folders.data) as log:
        return log.entries.current(limit=last)


def logged(
    folders: Folders,
    *,
    part: str | None = None,
    digest: str | None = None,
    last: int | None = None,
) -> list[Attempt | LogEntry]:
    """Attempts and free entries together, newest first; of a part or score its attempts alone."""
    tried = logged_attempts(folders, part=part, digest=digest, last=last)
    free = [] if part or digest else logged_entries(folders, last)
    both: list[Attempt | LogEntry] = [*tried, *free]
    return sorted(both, key=lambda one: one.at.timestamp(), reverse=True)[:last]


def correct_entry(folders: Folders, beginning: str, change: EntryChange) -> Attempt | LogEntry:
    """Correct the attempt or free entry whose id begins so; what it said before is kept.

    Raises RequestError if none or several do, or if this cannot be corrected in it.
    """
    with Log.open(folders.data) as log:
        kind, found = _named(log, beginning)
        if kind == "attempt":
            return _corrected_attempt(log, found, change)
        earlier = log.entries.history(found)
        if not earlier:
            raise RequestError(
                "this entry cannot be read", where=found, next="Run companion log check."
            )
        before = earlier[-1]
        seconds = before.seconds if change.seconds is None else change.seconds
        after = replace(
            before,
            what=change.what or before.what,
            seconds=seconds,
            note=before.note if change.note is None else change.note,
            is_withdrawn=before.is_withdrawn if change.withdraw is None else change.withdraw,
            at=change.at or before.at,
            revision=Revision(),
        )
        if change.outcome is not None:
            raise RequestError("a free entry has no outcome", next="Correct its note instead.")
        return log.entries.add(after)


def unreadable_lines(folders: Folders, newest: int) -> list[UnreadableRow]:
    """Rows of the log that cannot be read, among the newest of each kind."""
    with Log.read_only(folders.data) as log:
        return log.unreadable(newest)


def mark_unreadable(folders: Folders, name: str, *, is_deleted: bool) -> None:
    """Delete a row that cannot be read, or bring it back. Raises RequestError for others."""
    with Log.open(folders.data) as log:
        log.mark_unreadable(name, is_deleted=is_deleted)


def _corrected_attempt(log: Log, attempt_id: str, change: EntryChange) -> Attempt:
    if change.what or change.at or change.seconds is not None:
        raise RequestError(
            "of an attempt only the outcome and the note can be corrected",
            next="Delete it and add it anew: companion log correct ID --withdraw.",
        )
    return log.correct(
        attempt_id, outcome=change.outcome, note=change.note, is_withdrawn=change.withdraw
    )


def undoing(before: Attempt | LogEntry) -> EntryChange:
    """The change that makes an attempt or entry again what it was."""
    if isinstance(before, Attempt):
        return EntryChange(before.outcome, before.note, withdraw=before.is_withdrawn)
    return EntryChange(
        note=before.note,
        what=before.what,
        seconds=before.seconds,
        withdraw=before.is_withdrawn,
        at=before.at,
    )


def _named(log: Log, beginning: str) -> tuple[str, str]:
    wanted = beginning.strip().lower()
    if len(wanted) < _FEWEST or wanted.strip("0123456789abcdef-"):
        raise RequestError(
            f"“{beginning}” is not the id of an entry",
            next=f"Give {_FEWEST} or more of its letters, as companion log --ids shows them.",
        )
    found = log.ids_like(wanted)
    if len(found) != 1:
        many = f"the ids of {len(found)} entries begin" if found else "no entry's id begins"
        raise RequestError(f"{many} with “{wanted}”", next="See companion log --ids.")
    return found[0]


# The sessions of a log, as both faces tell them.


def latest_sessions(folders: Folders, last: int | None = None) -> list[Session]:
    """The sessions, newest first, at most `last`."""
    with Log.read_only(folders.data) as log:
        return sessions(log.spans())[::-1][:last]


def sessions_as_json(found: list[Session]) -> list[dict[str, object]]:
    """For programs: times in ISO 8601, lengths in seconds."""
    return [
        {
            "began": wall_clock(one, one.began).isoformat(),
            "ended": wall_clock(one, one.ended).isoformat(),
            "seconds": one.seconds,
            "entries": one.count,
        }
        for one in found
    ]


def wall_clock(session: Session, at: float) -> datetime:
    """A moment by the wall clock where the session began."""
    return datetime.fromtimestamp(at, timezone(timedelta(seconds=session.offset)))


# The hour at which a player's day of practice ends.


def day_end_of(folders: Folders) -> time:
    """As it was set, or as it is where nothing was."""
    with Log.read_only(folders.data) as log:
        return log.day_ends


def keep_day_end(folders: Folders, ends: time) -> None:
    """Set it; on disk when this returns."""
    with Log.open(folders.data) as log:
        log.set_day_ends(ends)

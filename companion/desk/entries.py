"""Free entries and corrections, as both faces make them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from companion.desk.folders import Folders
from companion.errors import RequestError
from companion.journal.log import Log
from companion.practice.attempt import Attempt
from companion.practice.entry import Activity, Entry
from companion.practice.outcome import Outcome
from companion.practice.said import Said

_FEWEST = 4
"""Letters of an id that are enough to name an entry by."""


@dataclass(frozen=True, slots=True)
class Change:
    """What is to be different; None leaves it as it is."""

    outcome: Outcome | None = None
    """Of an attempt."""
    note: str | None = None
    """Of either."""
    what: Activity | None = None
    """Of a free entry."""
    seconds: float | None = None
    """Of a free entry."""
    withdraw: bool = False
    """Take a free entry back."""


def add_entry(folders: Folders, entry: Entry) -> Entry:
    """Write a free entry down; on disk when this returns."""
    with Log.open(folders.data) as log:
        return log.entries.say(entry)


def entries(folders: Folders, last: int | None = None) -> list[Entry]:
    """The latest free entries, newest first, at most `last`."""
    with Log.read_only(folders.data) as log:
        return log.entries.now(limit=last)


def correct(folders: Folders, beginning: str, change: Change) -> Attempt | Entry:
    """Correct the attempt or free entry whose id begins so; what it said before is kept.

    Raises RequestError where none or several do, or where this cannot be corrected in it.
    """
    with Log.open(folders.data) as log:
        kind, found = _named(log, beginning)
        if kind == "attempt":
            return _corrected_attempt(log, found, change)
        before = log.entries.history(found)[-1]
        seconds = before.seconds if change.seconds is None else change.seconds
        after = replace(
            before,
            what=change.what or before.what,
            seconds=seconds,
            note=before.note if change.note is None else change.note,
            is_withdrawn=change.withdraw,
            said=Said(),
        )
        if change.outcome is not None:
            raise RequestError("a free entry has no outcome", next="Correct its note instead.")
        return log.entries.say(after)


def _corrected_attempt(log: Log, attempt_id: str, change: Change) -> Attempt:
    if change.what or change.seconds is not None or change.withdraw:
        raise RequestError(
            "of an attempt only the outcome and the note can be corrected",
            next="Say in the note what was wrong.",
        )
    return log.correct(attempt_id, outcome=change.outcome, note=change.note)


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

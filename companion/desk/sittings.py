"""The sessions of a log, as both faces tell them."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from companion.desk.folders import Folders
from companion.journal.log import Log
from companion.practice.sessions import Session, sessions


def sittings(folders: Folders, last: int | None = None) -> list[Session]:
    """The sessions, newest first, at most `last`."""
    with Log.read_only(folders.data) as log:
        return sessions(log.spans())[::-1][:last]


def session_told(session: Session) -> str:
    """`2026-03-01 18:00–19:05 · 45 minutes · 12 entries`."""
    begin, end = (wall_clock(session, at) for at in (session.began, session.ended))
    minutes, count = round(session.seconds / 60), session.count
    return (
        f"{begin:%Y-%m-%d %H:%M}–{end:%H:%M}"
        f" · {minutes} minute{'' if minutes == 1 else 's'}"
        f" · {count} {'entry' if count == 1 else 'entries'}"
    )


def plain_sessions(found: list[Session]) -> list[dict[str, object]]:
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

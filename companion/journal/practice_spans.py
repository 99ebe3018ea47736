"""When there was practice, for how long: read from an index, without the attempts themselves."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta
from pathlib import Path

from companion.journal.rows import moment, unreadable
from companion.practice.entry import LONGEST
from companion.practice.practice_day import PracticeSpan

_WITHIN = "at_utc >= ? AND at_utc < ?"
_ATTEMPTS = f"SELECT at_utc, utc_offset, seconds FROM attempt WHERE {_WITHIN} ORDER BY at_utc"
_ENTRIES = (
    f"SELECT at_utc, utc_offset, seconds FROM entry AS said WHERE {_WITHIN} AND withdrawn = 0"
    " AND NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.entry_id = said.entry_id"
    " AND (later.stated_utc, later.id) > (said.stated_utc, said.id))"
)
_EVER = ("", "a")
"""Before and after every time in the log, as text."""


def practice_spans(
    log: sqlite3.Connection, path: Path, since: datetime | None, until: datetime | None
) -> list[PracticeSpan]:
    """The stretches of practice that end from `since` on and begin before `until`.

    Attempts and free entries; a free entry that ends a day after `until` may still begin
    before it.
    """
    begin = str(moment(since)["at_utc"]) if since else _EVER[0]
    late = until + timedelta(seconds=LONGEST) if until else None
    end = str(moment(late)["at_utc"]) if late else _EVER[1]
    rows = [
        *log.execute(_ATTEMPTS, (begin, end)).fetchall(),
        *log.execute(_ENTRIES, (begin, end)).fetchall(),
    ]
    read = datetime.fromisoformat
    try:
        found = [
            PracticeSpan(read(at).timestamp(), offset, seconds) for at, offset, seconds in rows
        ]
    except ValueError as fault:
        raise unreadable(str(path), fault) from fault
    if until is None:
        return found
    before = until.timestamp()
    return [span for span in found if span.ended - span.seconds < before]

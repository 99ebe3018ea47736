"""What a player set for her own log: kept in it, so that it is in every backup."""

from __future__ import annotations

import sqlite3
from datetime import time
from pathlib import Path

from companion.errors import RequestError
from companion.journal.rows import unreadable
from companion.journal.transaction import transaction
from companion.practice.practice_day import DAY_ENDS, parse_day_end

_DAY_ENDS = "day ends"


def day_ends(log: sqlite3.Connection, path: Path) -> time:
    """The hour at which a practice day ends."""
    row = log.execute("SELECT value FROM setting WHERE name = ?", (_DAY_ENDS,)).fetchone()
    try:
        return parse_day_end(row[0]) if row else DAY_ENDS
    except RequestError as fault:
        raise unreadable(f"{path}, setting “{_DAY_ENDS}”", fault) from fault


def set_day_ends(log: sqlite3.Connection, ends: time) -> None:
    """Lets a practice day end at that hour from now on, and all those before as well."""
    with transaction(log):
        log.execute(
            "INSERT INTO setting VALUES (?, ?)"
            " ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            (_DAY_ENDS, f"{ends:%H:%M}"),
        )

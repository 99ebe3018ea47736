"""Rows of the log that stand for nothing any more: named, deleted, brought back.

A disk or another program changed them. They are left out of whatever reads the log, so that
one of them keeps nobody from the others; deleting one only marks it, and can be undone.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from companion.errors import RequestError
from companion.journal.database import JournalError, transaction
from companion.journal.fields import ATTEMPT, ENTRY, GOAL, OCCASION, Form

_FORMS: tuple[Form[Any], ...] = (ATTEMPT, ENTRY, GOAL, OCCASION)


@dataclass(frozen=True, slots=True)
class UnreadableRow:
    """A row that cannot be read."""

    table: str
    row: int
    """Its number in the table."""
    why: str

    @property
    def name(self) -> str:
        """What `companion log correct` calls it: "attempt:17"."""
        return f"{self.table}:{self.row}"


def unreadable_rows(
    log: sqlite3.Connection, path: Path, newest: int | None = None
) -> Iterator[UnreadableRow]:
    """Those that are not deleted, among the `newest` rows of each table or among all."""
    for form in _FORMS:
        rows = log.execute(
            f"SELECT seq, {', '.join(form.columns)} FROM {form.table}"
            " WHERE withdrawn IS NOT 1 ORDER BY seq DESC LIMIT ?",
            (-1 if newest is None else newest,),
        )
        for seq, *values in rows:
            try:
                form.from_row(tuple(values), path)
            except JournalError as fault:
                yield UnreadableRow(form.table, seq, fault.what)


def is_row_name(text: str) -> bool:
    """Whether this is how a row that cannot be read is called."""
    return _named(text) is not None


def mark_row(log: sqlite3.Connection, path: Path, name: str, *, is_deleted: bool) -> None:
    """Deletes a row that cannot be read, or brings it back; on the disk when this returns."""
    form, row = _named(name) or (ATTEMPT, 0)
    columns = ", ".join(form.columns)
    with transaction(log):
        asked = f"SELECT {columns} FROM {form.table} WHERE seq = ?"
        values = log.execute(asked, (row,)).fetchone()
        if values is None or any(True for _ in form.readable([values])):
            raise RequestError(
                f"“{name[:40]}” is no entry that cannot be read",
                where=str(path),
                next="companion log check names those; others have an id (log --ids).",
            )
        log.execute(f"UPDATE {form.table} SET withdrawn = ? WHERE seq = ?", (is_deleted, row))


def _named(text: str) -> tuple[Form[Any], int] | None:
    found = re.fullmatch("([a-z]+):([1-9][0-9]{0,17})", text)
    forms = [form for form in _FORMS if found and form.table == found[1]]
    return (forms[0], int(found[2])) if found and forms else None

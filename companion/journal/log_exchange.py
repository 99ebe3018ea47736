"""Getting the log out and in: exports, the import that joins two machines, backups."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import time
from os.path import exists
from pathlib import Path

from companion.errors import CompanionError, RequestError
from companion.files.csv_cell import cell
from companion.files.file_kind import plain_file
from companion.files.folders import Folders
from companion.files.whole_file import whole_file
from companion.journal.backup import restore
from companion.journal.editions import editions, join_editions, kept_editions
from companion.journal.log import FILE_NAME, PATIENCE, Log
from companion.journal.record import Merged
from companion.practice.attempt import Attempt, Heard, now
from companion.practice.entry import LogEntry
from companion.practice.practice_day import practice_day

FORMATS = ("csv", "json")
"""A table for a spreadsheet; all of it, to be taken in again."""


@dataclass(frozen=True, slots=True)
class Exported:
    """What was written."""

    path: Path
    told: str


def export_log(folders: Folders, form: str, path: Path) -> Exported:
    """Write the log to a file in one of `FORMATS`, all of it or nothing. Raises CompanionError."""
    if form not in FORMATS:
        raise RequestError(
            f"the log cannot be written as “{form}”", next=f"Choose {', '.join(FORMATS)}."
        )
    with Log.read_only(folders.data) as log:
        if form == "csv":
            attempts, entries = log.attempts(newest_first=False), log.entries.current()
            content = table(attempts, entries, log.day_ends)
            return write_export(path, [content], len(attempts) + len(entries), "line")
        record = replace(log.gather(), editions=tuple(kept_editions(folders).values()))
    from companion.journal.json_document import written

    count = len(record.attempts) + len({entry.id for entry in record.entries})
    return write_export(path, written(record, now()), count, "entry", "entries")


def write_export(
    path: Path, pieces: Iterable[bytes], count: int, one: str, many: str = ""
) -> Exported:
    """Write a file, all of it or nothing. Raises CompanionError, also for the log's own name."""
    if path.name == FILE_NAME:
        raise RequestError(
            "a practice log is called so", where=str(path), next="Name another file."
        )
    with whole_file(path) as file:
        file.writelines(pieces)
    return Exported(path, f"{count} {one if count == 1 else many or one + 's'}")


@dataclass(frozen=True, slots=True)
class Joined:
    """What of a file was new here."""

    merged: Merged
    """New in the log."""
    editions: int
    """Scores that are now known to have taken the place of others."""


def import_log(folders: Folders, path: Path) -> Joined:
    """Join a JSON file that `export_log` wrote to the log, all of it or nothing.

    Whatever is here already is recognised by its id; an edition by the score it replaces,
    of which the latest that was said holds.
    Raises CompanionError.
    """
    from companion.journal.json_document import record_of

    mine = folders.data / FILE_NAME
    # Asked before it is read: reading the open log as a file would drop SQLite's locks on it.
    if exists(mine) and exists(path) and path.samefile(mine):
        raise _not_json(path)
    content = plain_file(path, "a log written out as JSON").read_bytes()
    if content.startswith(b"SQLite format 3\0"):
        raise _not_json(path)
    record = record_of(content, str(path))
    with Log.open(folders.data) as log:
        merged = log.merge(record)
    return Joined(merged, join_editions(folders, record.editions))


def _not_json(path: Path) -> CompanionError:
    return CompanionError(
        "This is a backup or a log, not a log written out as JSON",
        where=str(path),
        next="Put a backup in the log's place with companion log restore, or write the log out "
        "as JSON where it came from.",
    )


def back_up_log(folders: Folders, path: Path) -> int:
    """Copy the log into one file; how many corrected editions are kept next to it, not in it.

    Raises CompanionError, also where there is no log yet.
    """
    if not Log.is_begun(folders.data):
        raise CompanionError(
            "There is no practice log yet",
            where=str(folders.data),
            next="Nothing needs to be backed up.",
        )
    with Log.read_only(folders.data) as log:
        log.back_up(path)
    return len(editions(folders))


def restore_log(folders: Folders, path: Path) -> Path | None:
    """Put a backup in the log's place; where the replaced log is kept, None if there was none."""
    return restore(folders.data / FILE_NAME, path, now(), PATIENCE)


def check_log(folders: Folders) -> list[str]:
    """A sentence for each thing wrong with the log; none where it is whole."""
    with Log.read_only(folders.data) as log:
        return log.check()


# What `companion log --json` prints: attempts and entries in the form of the JSON export.


def log_as_json(attempts: Sequence[Attempt], entries: Sequence[LogEntry]) -> dict[str, object]:
    """As lists, dictionaries, text and numbers."""
    from msgspec import to_builtins

    from companion.journal.fields import ATTEMPT, ENTRY

    return {
        "attempts": to_builtins(list(map(ATTEMPT.to_json, attempts))),
        "entries": to_builtins(list(map(ENTRY.to_json, entries))),
    }


# The log as a table for a spreadsheet: CSV as RFC 4180 has it, a line an attempt or entry.


HEADER = (
    *("day", "ended", "what", "score", "part", "bars", "first_bar", "last_bar"),
    *("tempo", "beat", "sounded", "times", "minutes", "outcome", "note", "id"),
    *("silences", "accompaniment", "heard", "left_out", "put_in"),
)
"""The columns. A tempo is in felt beats a minute, a decimal; minutes as well."""


def table(attempts: Sequence[Attempt], entries: Sequence[LogEntry], ends: time) -> bytes:
    """The file's content in order of time; `ends` is when a practice day does."""
    text = io.StringIO(newline="")
    lines = csv.writer(text, lineterminator="\r\n")
    lines.writerow(HEADER)
    both: list[Attempt | LogEntry] = [*attempts, *entries]
    practised = sorted(both, key=lambda one: one.at.timestamp())
    for one in practised:
        lines.writerow(_attempt(one, ends) if isinstance(one, Attempt) else _entry(one, ends))
    return text.getvalue().encode("utf-8")


def _attempt(attempt: Attempt, ends: time) -> tuple[object, ...]:
    return (
        practice_day(attempt.at, ends),
        attempt.at.isoformat(timespec="seconds"),
        "passage",
        cell(attempt.score_title),
        cell(attempt.part_name or attempt.part_id),
        cell(attempt.bars_label),
        attempt.first_bar,
        attempt.last_bar,
        f"{float(attempt.tempo):.6g}",
        cell(attempt.beat),
        cell(" + ".join(attempt.layers)),
        attempt.repetitions,
        _minutes(attempt.seconds),
        attempt.outcome.value,
        cell(attempt.note),
        attempt.id,
        cell(attempt.silences),
        cell(" + ".join(attempt.accompaniment)),
        *_heard(attempt.heard),
    )


def _heard(heard: Heard | None) -> tuple[object, ...]:
    return ("",) * 3 if heard is None else (heard.outcome.value, heard.missed, heard.added)


def _entry(entry: LogEntry, ends: time) -> tuple[object, ...]:
    of_a_passage = ("",) * 9
    day, ended = practice_day(entry.at, ends), entry.at.isoformat(timespec="seconds")
    minutes = _minutes(entry.seconds)
    own = (minutes, "", cell(entry.note), entry.id)
    return (day, ended, entry.what.value, *of_a_passage, *own, *("",) * 5)


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.2f}"

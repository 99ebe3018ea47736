"""What is due on which day, and that list as an iCalendar file (RFC 5545).

Written by hand: a list of whole days needs four rules of the standard (line ends, folding,
escaping, the properties an event must have), and a calendar library would cost each
export 47 ms and two more packages to keep. The tests read the files with such a library.

An event keeps its UID for as long as its thing is the same, so that a calendar that takes
the file in again moves the event instead of showing it twice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID, uuid5

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_exchange import Exported, write_export
from companion.journal.mastery_cache import all_standings
from companion.practice.goal import Occasion
from companion.practice.mastery.standing import Standing
from companion.practice.practice_day import practice_day
from companion.wording.phrases import pace_told, passage_told

_OURS = UUID("5b1f9c52-61c4-4b3b-9d57-0f4a3a7c2e86")
"""The name space of events that bring no identity of their own; made at random once."""

_LONGEST = 75
"""Octets in a line, its end not counted (RFC 5545, 3.1)."""

_HEAD = (
    "BEGIN:VCALENDAR",
    "VERSION:2.0",
    "PRODID:-//companion//practice companion//EN",
    "CALSCALE:GREGORIAN",
)


@dataclass(frozen=True, slots=True, order=True)
class DueDate:
    """One thing due."""

    day: date
    summary: str
    """In one line, as the calendar shows it."""
    detail: str = ""
    """More about it, in as many lines as it takes."""
    id: str = ""
    """What stays the same when the day is moved; empty if day and summary are all it is."""


def calendar(due: Sequence[DueDate], written: datetime) -> bytes:
    """The file's content. `written`, with its offset, is the time it is made."""
    stamp = written.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    lines = [*_HEAD, *_events(due, stamp), "END:VCALENDAR"]
    return b"".join(_folded(line) for line in lines)


def _events(due: Sequence[DueDate], stamp: str) -> Iterator[str]:
    for one in sorted(due):
        yield "BEGIN:VEVENT"
        yield f"UID:{_identity(one)}"
        yield f"DTSTAMP:{stamp}"
        yield f"DTSTART;VALUE=DATE:{one.day:%Y%m%d}"
        yield f"DTEND;VALUE=DATE:{one.day + timedelta(days=1):%Y%m%d}"  # the day after, 3.6.1
        yield f"SUMMARY:{_escaped(one.summary)}"
        if one.detail:
            yield f"DESCRIPTION:{_escaped(one.detail)}"
        yield "TRANSP:TRANSPARENT"  # it takes no time of the day
        yield "END:VEVENT"


def _identity(due: DueDate) -> str:
    return str(uuid5(_OURS, due.id or f"{due.day.isoformat()} {due.summary}"))


def _escaped(text: str) -> str:
    """Text as a TEXT value (3.3.11); control characters, which it may not hold, are left out."""
    text = re.sub(r"\r\n?|\n", "\n", text)
    text = re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", "", text)
    text = re.sub(r"([\\;,])", r"\\\1", text)
    return text.replace("\n", "\\n")


def _folded(line: str) -> bytes:
    """The line with its end, cut after at most 75 octets, never inside a character."""
    pieces = list(_pieces(line))
    return b"\r\n ".join(pieces) + b"\r\n"


def _pieces(line: str) -> Iterable[bytes]:
    piece, room = b"", _LONGEST
    for letter in line:
        octets = letter.encode("utf-8", "replace")
        if len(piece) + len(octets) > room:
            yield piece
            piece, room = b"", _LONGEST - 1  # the space that begins a continued line
        piece += octets
    yield piece


# What is due: the dates the player works towards, and the passages.


def export_calendar(folders: Folders, path: Path, at: datetime) -> Exported:
    """Write what is due after a moment. Raises CompanionError."""
    due = [*dates_due(folders), *passages_due(folders, at)]
    return write_export(path, [calendar(due, at)], len(due), "date")


def dates_due(folders: Folders) -> list[DueDate]:
    """Concerts, lessons and other dates that still hold, each as a whole day."""
    with Log.read_only(folders.data) as log:
        return [_due_date(occasion) for occasion in log.occasions.current()]


def _due_date(occasion: Occasion) -> DueDate:
    kind = occasion.kind.value.capitalize()
    return DueDate(
        occasion.day, f"{kind}: {occasion.name}" if occasion.name else kind, id=occasion.id
    )


def passages_due(folders: Folders, at: datetime) -> list[DueDate]:
    """Every tried passage on the day it is planned for; what is overdue stands on today."""
    with Log.read_only(folders.data) as log:
        today = practice_day(at, log.day_ends)
    return [_due_passage(one, today) for one in all_standings(folders) if one.last is not None]


def _due_passage(one: Standing, today: date) -> DueDate:
    bars, where = one.bars, passage_told(one.bars, one.part_name, one.label)
    day = max(today, date.fromordinal(one.planned))
    detail = f"Goal: {pace_told(one.aims.goal, one.aims.beat)}" if one.aims.is_set else ""
    key = f"{bars.score_digest} {bars.part_id} {bars.first} {bars.last}"
    return DueDate(day, f"{where}, {one.title}" if one.title else where, detail, key)

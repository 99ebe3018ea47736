"""The record as a JSON file and back (RFC 8259), a thing a line so that versions can be compared.

The file says in its first two fields whose it is and which version. A newer version is
refused, because what an older program does not know it would drop in silence; a damaged
file is refused with the place of the damage. Either way before anything is taken in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import TypeVar

import msgspec

from companion.errors import CompanionError
from companion.journal import json_mapping
from companion.journal.json_forms import Head, PlainRecord
from companion.journal.record import Record

FORM = "practice log of companion"
"""What the file says it is."""

VERSION = 2
"""Raised with every change to `plain.py`. 1 had no editions."""

Plain = TypeVar("Plain")
Thing = TypeVar("Thing")


class DocumentError(CompanionError):
    """The file cannot be taken in."""


def written(record: Record, at: datetime) -> Iterator[bytes]:
    """The file's content, piece by piece. `at`, with its offset, is the time it is made."""
    head = msgspec.json.encode({"form": FORM, "version": VERSION, "written": at.isoformat()})
    yield head.removesuffix(b"}")
    attempts = (json_mapping.plain_attempt(one.attempt, one.corrections) for one in record.attempts)
    yield from _list("attempts", attempts)
    yield from _list("entries", map(json_mapping.plain_entry, record.entries))
    yield from _list("goals", map(json_mapping.plain_goal, record.goals))
    yield from _list("occasions", map(json_mapping.plain_occasion, record.occasions))
    yield from _list("editions", iter(record.editions))
    yield b"\n}\n"


def _list(name: str, plains: Iterator[object]) -> Iterator[bytes]:
    yield b',\n"' + name.encode() + b'": ['
    before = b"\n"
    for plain in plains:
        yield before + msgspec.json.encode(plain)
        before = b",\n"
    yield b"\n]"


def record_of(content: bytes, where: str) -> Record:
    """What a file holds. Raises DocumentError; `where` is its name for the player."""
    try:
        head = msgspec.json.decode(content, type=Head)
        _refuse_strangers(head, where)
        plain = msgspec.json.decode(content, type=PlainRecord)
    except (msgspec.MsgspecError, ValueError, RecursionError) as fault:
        raise _damaged(where, str(fault)) from fault
    return Record(
        _things("attempts", plain.attempts, json_mapping.corrected, where),
        _things("entries", plain.entries, json_mapping.entry_of, where),
        _things("goals", plain.goals, json_mapping.goal_of, where),
        _things("occasions", plain.occasions, json_mapping.occasion_of, where),
        _things("editions", plain.editions, json_mapping.edition_of, where),
    )


def _things(
    name: str, plains: Sequence[Plain], read: Callable[[Plain], Thing], where: str
) -> tuple[Thing, ...]:
    things = []
    for number, plain in enumerate(plains, 1):
        try:
            things.append(read(plain))
        except CompanionError as fault:
            raise _damaged(where, f"{name}, number {number}: {fault.what}") from fault
        except (ValueError, ArithmeticError) as fault:
            raise _damaged(where, f"{name}, number {number}: {fault}") from fault
    return tuple(things)


def _refuse_strangers(head: Head, where: str) -> None:
    if head.form != FORM or head.version < 1:
        raise DocumentError(
            "This is not a practice log written out as JSON",
            where=where,
            next="Write one with companion log export --format json.",
        )
    if head.version > VERSION:
        raise DocumentError(
            f"This practice log was written out by a newer companion (version {head.version};"
            f" this one reads up to {VERSION}), so nothing was taken in",
            where=where,
            next="Bring companion up to date here.",
        )


def _damaged(where: str, fault: str) -> DocumentError:
    return DocumentError(
        f"This file is damaged or not a practice log ({fault}), so nothing was taken in",
        where=where,
        next="Write it out again where it came from.",
    )

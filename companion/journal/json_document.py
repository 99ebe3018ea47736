"""The record as a JSON file and back (RFC 8259), a thing a line so that versions can be compared.

The file says in its first two fields whose it is and which version. A newer version is
refused, because what an older program does not know it would drop in silence; a damaged
file is refused with the place of the damage. Either way before anything is taken in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from operator import attrgetter
from typing import Any, TypeVar

import msgspec
from msgspec import Struct, defstruct

from companion.errors import CompanionError
from companion.journal.fields import ATTEMPT, CORRECTION, ENTRY, GOAL, OCCASION
from companion.journal.record import Corrected, Record
from companion.practice.edition import Edition, faults_of_edition
from companion.practice.revision import replayed, words_of

FORM = "practice log of companion"
"""What the file says it is."""

VERSION = 6
"""Raised with every change to `fields.py`. 1 had no editions, 2 no silences or accompaniment,
3 nothing that was heard, 4 no deleted attempts, 5 no editions taken back."""

Told = TypeVar("Told")
Thing = TypeVar("Thing")


class _Header(Struct):
    """What is looked at first: whose file it is, and in which version."""

    form: str = ""
    version: int = 0


_CONTENT = defstruct(
    "Content",
    [
        ("attempts", ATTEMPT.json_list),
        ("entries", ENTRY.json_list),
        ("goals", GOAL.json_list),
        ("occasions", OCCASION.json_list),
        ("editions", list[Edition], []),
    ],
)


class DocumentError(CompanionError):
    """The file cannot be taken in."""


def written(record: Record, at: datetime) -> Iterator[bytes]:
    """The file's content, piece by piece. `at`, with its offset, is the time it is made."""
    head = msgspec.json.encode({"form": FORM, "version": VERSION, "written": at.isoformat()})
    yield head.removesuffix(b"}")
    yield from _list("attempts", map(_corrected_to_json, record.attempts))
    yield from _list("entries", map(ENTRY.to_json, record.entries))
    yield from _list("goals", map(GOAL.to_json, record.goals))
    yield from _list("occasions", map(OCCASION.to_json, record.occasions))
    yield from _list("editions", iter(record.editions))
    yield b"\n}\n"


def _list(name: str, objects: Iterator[object]) -> Iterator[bytes]:
    yield b',\n"' + name.encode() + b'": ['
    before = b"\n"
    for one in objects:
        yield before + msgspec.json.encode(one)
        before = b",\n"
    yield b"\n]"


def record_of(content: bytes, where: str) -> Record:
    """What a file holds. Raises DocumentError; `where` is its name for the player."""
    try:
        head = msgspec.json.decode(content, type=_Header)
        _refuse_other_files(head, where)
        found: Any = msgspec.json.decode(content, type=_CONTENT)
    except (msgspec.MsgspecError, ValueError, RecursionError) as fault:
        raise _damaged(where, str(fault)) from fault
    return Record(
        _things("attempts", found.attempts, _corrected, where),
        _things("entries", found.entries, ENTRY.from_json, where),
        _things("goals", found.goals, GOAL.from_json, where),
        _things("occasions", found.occasions, OCCASION.from_json, where),
        _things("editions", found.editions, _edition, where),
    )


def _things(
    name: str, objects: Sequence[Told], read: Callable[[Told], Thing], where: str
) -> tuple[Thing, ...]:
    things = []
    for number, one in enumerate(objects, 1):
        try:
            things.append(read(one))
        except CompanionError as fault:
            raise _damaged(where, f"{name}, number {number}: {fault.what}") from fault
        except (ValueError, ArithmeticError) as fault:
            raise _damaged(where, f"{name}, number {number}: {fault}") from fault
    return tuple(things)


def _corrected_to_json(one: Corrected) -> Struct:
    return ATTEMPT.to_json(one.attempt, corrections=list(map(CORRECTION.to_json, one.corrections)))


def _corrected(told: Struct) -> Corrected:
    attempt = ATTEMPT.from_json(told)
    corrections = tuple(map(CORRECTION.from_json, attrgetter("corrections")(told)))
    words = words_of(attempt)
    if replayed(words, corrections) != words:
        raise ValueError("it does not say what its corrections make of it")
    return Corrected(attempt, corrections)


def _edition(edition: Edition) -> Edition:
    for fault in faults_of_edition(edition):
        raise ValueError(fault)
    return edition


def _refuse_other_files(head: _Header, where: str) -> None:
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

"""A value's forms: in Python, in the columns of a row, and in JSON.

Nothing is rounded on the way. A tempo stays a fraction in words ("145/2"), never a binary
float; time is UTC text of one width next to the local offset, so that order and local day
are both still there years later. In JSON a time is ISO 8601 with its offset (RFC 3339).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from enum import Enum
from fractions import Fraction
from functools import lru_cache, partial
from operator import attrgetter
from typing import Any

import msgspec
from msgspec import Struct

from companion.practice.attempt import Heard, HeardBy, HeardSide, Outcome


def moment(at: datetime) -> tuple[str, int]:
    """A time as the two columns that hold it; the offset in whole seconds east of UTC."""
    offset = at.utcoffset() or timedelta()
    in_utc = at.astimezone(UTC).replace(tzinfo=None)
    return in_utc.isoformat(timespec="microseconds") + "Z", int(offset.total_seconds())


def local_time(at_utc: str, utc_offset: int) -> datetime:
    """The inverse of `moment`. Raises ValueError or OverflowError."""
    return datetime.fromisoformat(at_utc).astimezone(timezone(timedelta(seconds=utc_offset)))


@lru_cache(maxsize=4096)
def tempo_of(text: str) -> Fraction:
    """A tempo from its words. Kept, because years of practice are at a few hundred tempos."""
    # Looked at before it is computed: "1e999999999" would never end.
    if not re.fullmatch("[1-9][0-9]{0,99}(/[1-9][0-9]{0,99})?", text):
        raise ValueError(f"“{text[:40]}” is not a tempo")
    return Fraction(text)


def writable(text: str) -> str:
    """Text any database can hold; what is not Unicode in a file's name is written as escapes."""
    return text if text.isascii() else text.encode("utf-8", "backslashreplace").decode("utf-8")


@lru_cache(maxsize=4096)
def _names(text: str) -> tuple[str, ...]:
    names = json.loads(text)
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        raise ValueError("what sounded is not a list of names")
    return tuple(names)


def unchanged(value: object) -> object:
    """For a value that is the same everywhere."""
    return value


def _unless_none(change: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda value: None if value is None else change(value)


# A value's forms in a row and in JSON.


@dataclass(frozen=True, slots=True)
class Kind:
    """How one kind of value is kept."""

    json_type: Any
    to_row: Callable[[Any], Any] = unchanged
    """With several columns a tuple, also the other way."""
    from_row: Callable[[Any], Any] = unchanged
    to_json: Callable[[Any], Any] = unchanged
    from_json: Callable[[Any], Any] = unchanged


def word(words: type[Enum]) -> Kind:
    """One of the words of an enumeration."""
    value = attrgetter("value")
    return Kind(str, value, words, value, words)


TEXT = Kind(str, to_row=writable)
NUMBER = Kind(int)
SECONDS = Kind(float, to_row=float)
FLAG = Kind(bool, to_row=int, from_row=bool)
MOMENT = Kind(
    str, moment, lambda pair: local_time(*pair), datetime.isoformat, datetime.fromisoformat
)
DAY = Kind(str, date.isoformat, date.fromisoformat, date.isoformat, date.fromisoformat)
TEMPO = Kind(str, str, tempo_of, str, tempo_of)
_as_text = partial(json.dumps, ensure_ascii=False)
NAMES = Kind(list[str], lru_cache(lambda names: writable(_as_text(names))), _names, list, tuple)
ID_OR_NONE = Kind(str | None)
JUDGEMENT = Kind(
    dict[str, Any] | None,
    _unless_none(writable),
    unchanged,
    _unless_none(json.loads),
    _unless_none(_as_text),
)


# What was heard of an attempt: five columns, empty together; one object in JSON.


class _Side(Struct):
    name: str
    mean_ms: float
    spread_ms: float
    notes: int


class _Heard(Struct):
    outcome: str
    by: str
    sides: list[_Side]
    missed: int
    added: int


def _heard_told(heard: Heard) -> _Heard:
    sides = [_Side(one.name, one.mean_ms, one.spread_ms, one.notes) for one in heard.sides]
    return _Heard(heard.outcome.value, heard.by.value, sides, heard.missed, heard.added)


def _heard_of(told: _Heard) -> Heard:
    sides = (HeardSide(one.name, one.mean_ms, one.spread_ms, one.notes) for one in told.sides)
    return Heard(Outcome(told.outcome), HeardBy(told.by), tuple(sides), told.missed, told.added)


def _heard_to_row(heard: Heard | None) -> tuple[str | int | None, ...]:
    if heard is None:
        return (None,) * 5
    told = _heard_told(heard)
    sides = writable(msgspec.json.encode(told.sides).decode())
    return told.outcome, told.by, sides, told.missed, told.added


def _heard_from_row(row: tuple[Any, ...]) -> Heard | None:
    outcome, by, sides, missed, added = row
    if outcome is None:
        return None
    kept = msgspec.json.decode(sides, type=list[_Side])
    return _heard_of(_Heard(outcome, by, kept, missed, added))


HEARD = Kind(
    _Heard | None,
    _heard_to_row,
    _heard_from_row,
    _unless_none(_heard_told),
    _unless_none(_heard_of),
)

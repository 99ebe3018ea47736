"""How what the log holds is kept: for each field its column and its key, in one table a kind.

The SQL row, the JSON export, `--json` and the report all derive from these tables. Bounds
are checked by the class itself whenever one is made, so they hold at every way in.

Nothing is rounded on the way. A tempo stays a fraction in words ("145/2"), never a binary
float; time is UTC text of one width next to the local offset, so that order and local day
are both still there years later. In JSON a time is ISO 8601 with its offset (RFC 3339).
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta, timezone
from enum import Enum
from fractions import Fraction
from functools import cached_property, lru_cache, partial
from operator import attrgetter, itemgetter
from pathlib import Path
from types import GenericAlias
from typing import Any, Generic, TypeVar

from msgspec import NODEFAULT, Struct, defstruct

from companion.errors import RequestError
from companion.journal.database import unreadable
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import CorrectedWords, Correction, Revision

T = TypeVar("T")

SqlRow = dict[str, str | int | float | None]
"""Named values for SQLite."""


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


def _same(value: object) -> object:
    return value


def _or_none(change: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda value: None if value is None else change(value)


# A value's forms in a row and in JSON.


@dataclass(frozen=True, slots=True)
class _Kind:
    json_type: Any
    to_row: Callable[[Any], Any] = _same
    """With two columns a pair, also the other way."""
    from_row: Callable[[Any], Any] = _same
    to_json: Callable[[Any], Any] = _same
    from_json: Callable[[Any], Any] = _same


def _word(words: type[Enum]) -> _Kind:
    value = attrgetter("value")
    return _Kind(str, value, words, value, words)


_TEXT = _Kind(str, to_row=writable)
_NUMBER = _Kind(int)
_SECONDS = _Kind(float, to_row=float)
_FLAG = _Kind(bool, to_row=int, from_row=bool)
_MOMENT = _Kind(
    str, moment, lambda pair: local_time(*pair), datetime.isoformat, datetime.fromisoformat
)
_DAY = _Kind(str, date.isoformat, date.fromisoformat, date.isoformat, date.fromisoformat)
_TEMPO = _Kind(str, str, tempo_of, str, tempo_of)
_as_text = partial(json.dumps, ensure_ascii=False)
_NAMES = _Kind(list[str], lru_cache(lambda names: writable(_as_text(names))), _names, list, tuple)
_ID_OR_NONE = _Kind(str | None)
_JUDGEMENT = _Kind(
    dict[str, Any] | None, _or_none(writable), _same, _or_none(json.loads), _or_none(_as_text)
)


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a kind of thing."""

    name: str
    """Of the attribute; `bars.first` is one of what stands in the attribute `bars`."""
    kind: _Kind
    key: str
    """In JSON; `score.title` is in the object `score`."""
    columns: tuple[str, ...]
    default: Any = NODEFAULT
    """What is left out of the JSON."""


def _field(
    name: str, kind: _Kind, key: str = "", columns: str = "", default: object = NODEFAULT
) -> Field:
    return Field(name, kind, key or name, tuple((columns or name).split()), default)


class _Score(Struct):
    title: str
    digest: str
    path: str = ""


class _Part(Struct):
    id: str
    name: str


class _Words(Struct):
    outcome: str
    note: str


_JSON_OBJECTS: Mapping[str, type[Struct]] = {
    "score": _Score,
    "part": _Part,
    "earlier": _Words,
    "later": _Words,
}
_MADE_OF: Mapping[str, Callable[..., Any]] = {
    "bars": Bars,
    "revision": Revision,
    "earlier": CorrectedWords,
    "later": CorrectedWords,
}


def _naming(
    names: Sequence[str], ways: Iterable[Callable[..., Any]], makers: Mapping[str, Callable[..., T]]
) -> Callable[[Iterable[Any]], dict[str, Any]]:
    """What changes values, each in its way, and names them: those of `bars.first`, `bars.last`, …
    put together as {"bars": Bars(…)}. Worked out once, for a log of years has a million values."""
    changes = [pair for pair in zip(names, ways, strict=True) if pair[1] is not _same]
    inner: dict[str, list[tuple[str, str]]] = {}
    for name in names:
        outer, dot, last = name.partition(".")
        if dot:
            inner.setdefault(outer, []).append((name, last))

    def named(values: Iterable[Any]) -> dict[str, Any]:
        found = dict(zip(names, values, strict=True))
        for name, change in changes:
            found[name] = change(found[name])
        for outer, parts in inner.items():
            found[outer] = makers[outer](**{last: found.pop(name) for name, last in parts})
        return found

    return named


class Form(Generic[T]):
    """How one kind of thing is kept."""

    def __init__(
        self,
        make: Callable[..., T],
        table: str,
        fields: tuple[Field, ...],
        *,
        same: tuple[str, ...] = (),
        order: tuple[str, ...] = (),
        older: Callable[[dict[str, Any]], dict[str, Any]] = dict,
        **lists: Form[Any],
    ) -> None:
        """`same` are the columns that say of which thing a row speaks, `order` how a list is
        ordered; `older` makes of values of an earlier form those of today's; `lists` stand in
        its JSON, each empty unless given."""
        self._make, self._older, self._lists = make, older, lists
        self.table, self.fields, self.same, self.order = table, fields, same, order
        self.columns = tuple(column for field in fields for column in field.columns)
        names, keys = [field.name for field in fields], [field.key for field in fields]
        kinds, at = [field.kind for field in fields], self.columns.index
        self._get, self._told = attrgetter(*names), attrgetter(*keys)
        self._kept = itemgetter(
            *(slice(at(a), at(b[0]) + 1) if b else at(a) for a, *b in (f.columns for f in fields))
        )
        self._of_row = _naming(names, [kind.from_row for kind in kinds], _MADE_OF)
        self._of_json = _naming(names, [kind.from_json for kind in kinds], _MADE_OF)
        self._as_json = _naming(keys, [kind.to_json for kind in kinds], _JSON_OBJECTS)

    def to_row(self, thing: T) -> SqlRow:
        """A thing as named values for SQLite, in the order of `columns`."""
        row: SqlRow = {}
        for field, value in zip(self.fields, self._get(thing), strict=True):
            kept = field.kind.to_row(value)
            if len(field.columns) == 1:
                row[field.columns[0]] = kept
            else:
                row.update(zip(field.columns, kept, strict=True))
        return row

    def from_row(self, values: tuple[Any, ...], path: Path) -> T:
        """The thing a row of `columns` stands for. Raises JournalError naming the row."""
        try:
            return self._make(**self._of_row(self._kept(values)))
        except (RequestError, ValueError, ArithmeticError) as fault:
            row_id = values[self.columns.index("id")]
            raise unreadable(f"{path}, {self.table} {row_id}", fault) from fault

    @cached_property
    def json_type(self) -> type[Struct]:
        """The object in JSON. Read strictly: a number where text belongs is refused."""
        keys: dict[str, tuple[Any, Any]] = {}
        for field in self.fields:
            outer, dot, _ = field.key.partition(".")
            own = field.kind.json_type, field.default
            keys[outer] = (_JSON_OBJECTS[outer], NODEFAULT) if dot else own
        found = [(key, kind, default) for key, (kind, default) in keys.items()]
        found += [(key, form.json_list, []) for key, form in self._lists.items()]
        return defstruct(self.table, found, kw_only=True, omit_defaults=True)

    @property
    def json_list(self) -> GenericAlias:
        """A list of them in JSON."""
        return GenericAlias(list, (self.json_type,))

    def to_json(self, thing: T, **lists: list[Struct]) -> Struct:
        """A thing as a `json_type`."""
        return self.json_type(**self._as_json(self._get(thing)), **lists)

    def from_json(self, told: Struct, **given: object) -> T:
        """The inverse; `given` are fields that are told elsewhere.

        Raises CompanionError, ValueError or ArithmeticError.
        """
        return self._make(**self._older(self._of_json(self._told(told))), **given)

    def only(self, *names: str, **keys: str) -> Form[T]:
        """The form of these fields alone, some under other keys in JSON."""
        fields = tuple(
            replace(one, key=keys.get(one.name, one.key))
            for one in self.fields
            if one.name in names
        )
        return Form(self._make, self.table, fields, older=self._older)


def _with_own_fields(found: dict[str, Any]) -> dict[str, Any]:
    """Silences and a drone that were told as layers, as fields of their own.

    The log's own schema does the same in its third step.
    """
    silences = [name for name in found["layers"] if name.startswith("silent")]
    drones = [name for name in found["layers"] if name == "drone"]
    if not silences and not drones:
        return found
    layers = tuple(name for name in found["layers"] if name not in (*silences, *drones))
    return found | {
        "layers": layers,
        "silences": found["silences"] or ", ".join(silences),
        "accompaniment": found["accompaniment"] or tuple(drones),
    }


_MOMENT_COLUMNS = "at_utc utc_offset"
_PASSAGE = ("score_digest", "part_id", "first_bar", "last_bar")
_REVISION = (
    _field("revision.at", _MOMENT, "said", "stated_utc stated_offset"),
    _field("revision.id", _TEXT, "saying", "id"),
)
_WITHDRAWN = _field("is_withdrawn", _FLAG, "withdrawn", "withdrawn", default=False)

CORRECTION = Form(
    Correction,
    "revision",
    (
        _field("revision.id", _TEXT, "id", "id"),
        _field("revision.at", _MOMENT, "at", _MOMENT_COLUMNS),
        *(
            _field(f"{when}.{what}", kind, columns=f"{when}_{what}")
            for when in ("earlier", "later")
            for what, kind in (("outcome", _word(Outcome)), ("note", _TEXT))
        ),
    ),
)

ATTEMPT = Form(
    Attempt,
    "attempt",
    (
        _field("id", _TEXT),
        _field("at", _MOMENT, columns=_MOMENT_COLUMNS),
        _field("score_title", _TEXT, "score.title"),
        _field("score_digest", _TEXT, "score.digest"),
        _field("score_path", _TEXT, "score.path"),
        _field("part_id", _TEXT, "part.id"),
        _field("part_name", _TEXT, "part.name"),
        _field("first_bar", _NUMBER, "first"),
        _field("last_bar", _NUMBER, "last"),
        _field("bars_label", _TEXT, "printed"),
        _field("tempo", _TEMPO),
        _field("beat", _TEXT),
        _field("layers", _NAMES),
        _field("silences", _TEXT, default=""),
        _field("accompaniment", _NAMES, default=[]),
        _field("repetitions", _NUMBER),
        _field("seconds", _SECONDS),
        _field("outcome", _word(Outcome)),
        _field("note", _TEXT),
        _field("judgement", _JUDGEMENT, default=None),
    ),
    older=_with_own_fields,
    corrections=CORRECTION,
)

ENTRY = Form(
    LogEntry,
    "entry",
    (
        _field("id", _TEXT, columns="entry_id"),
        _field("at", _MOMENT, columns=_MOMENT_COLUMNS),
        _field("what", _word(Activity)),
        _field("seconds", _SECONDS),
        _field("note", _TEXT),
        *_REVISION,
        _WITHDRAWN,
    ),
    same=("entry_id",),
    order=("at_utc DESC", "seq DESC"),
)
"""Free entries, newest first."""

GOAL = Form(
    Goal,
    "goal",
    (
        _field("score_title", _TEXT, "score.title"),
        _field("bars.score_digest", _TEXT, "score.digest", "score_digest"),
        _field("bars.part_id", _TEXT, "part.id", "part_id"),
        _field("part_name", _TEXT, "part.name"),
        _field("bars.first", _NUMBER, "first", "first_bar"),
        _field("bars.last", _NUMBER, "last", "last_bar"),
        _field("bars_label", _TEXT, "printed"),
        _field("tempo", _TEMPO),
        _field("beat", _TEXT),
        *_REVISION,
        _field("occasion", _ID_OR_NONE, columns="occasion_id", default=None),
        _WITHDRAWN,
    ),
    same=_PASSAGE,
    order=_PASSAGE,
)
"""Goals, passage by passage."""

OCCASION = Form(
    Occasion,
    "occasion",
    (
        _field("id", _TEXT, columns="occasion_id"),
        _field("day", _DAY),
        _field("kind", _word(OccasionKind)),
        _field("name", _TEXT),
        *_REVISION,
        _field("score_digest", _TEXT, "score", default=""),
        _WITHDRAWN,
    ),
    same=("occasion_id",),
    order=("day", "seq"),
)
"""Dates, the earliest first."""

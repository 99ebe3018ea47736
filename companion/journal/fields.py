"""How what the log holds is kept: for each field its column and its key, in one table a kind.

The SQL row, the JSON export, `--json` and the report all derive from these tables. Bounds
are checked by the class itself whenever one is made, so they hold at every way in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from operator import attrgetter, itemgetter
from pathlib import Path
from types import GenericAlias
from typing import Any, Generic, TypeVar

from msgspec import NODEFAULT, Struct, defstruct

from companion.journal.database import ROW_FAULTS, unreadable
from companion.journal.value_forms import (
    DAY,
    FLAG,
    HEARD,
    ID_OR_NONE,
    JUDGEMENT,
    MOMENT,
    NAMES,
    NUMBER,
    SECONDS,
    TEMPO,
    TEXT,
    Kind,
    unchanged,
    word,
)
from companion.practice.attempt import Attempt, Bars, Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.goal import Goal, Occasion, OccasionKind
from companion.practice.revision import CorrectedWords, Correction, Revision

T = TypeVar("T")

SqlRow = dict[str, str | int | float | None]
"""Named values for SQLite."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a kind of thing."""

    name: str
    """Of the attribute; `bars.first` is one of what stands in the attribute `bars`."""
    kind: Kind
    key: str
    """In JSON; `score.title` is in the object `score`."""
    columns: tuple[str, ...]
    default: Any = NODEFAULT
    """What is left out of the JSON."""


def _field(
    name: str, kind: Kind, key: str = "", columns: str = "", default: object = NODEFAULT
) -> Field:
    return Field(name, kind, key or name, tuple((columns or name).split()), default)


class _Score(Struct):
    title: str
    digest: str
    path: str = ""


class _Part(Struct):
    id: str
    name: str


class _Words(Struct, omit_defaults=True):
    outcome: str
    note: str
    withdrawn: bool = False


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
    changes = [pair for pair in zip(names, ways, strict=True) if pair[1] is not unchanged]
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
            *(slice(at(a), at(b[-1]) + 1) if b else at(a) for a, *b in (f.columns for f in fields))
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
        except ROW_FAULTS as fault:
            row_id = values[self.columns.index("id")]
            raise unreadable(f"{path}, {self.table} {row_id}", fault) from fault

    def readable(self, rows: Iterable[tuple[Any, ...]]) -> Iterator[T]:
        """What the rows of `columns` stand for, without those that cannot be read.

        One bad row must not keep a player from the others; `Log.unreadable` names it.
        """
        for row in rows:
            try:
                yield self._make(**self._of_row(self._kept(row)))
            except ROW_FAULTS:
                continue

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
    _field("revision.at", MOMENT, "said", "stated_utc stated_offset"),
    _field("revision.id", TEXT, "saying", "id"),
)
_WITHDRAWN = _field("is_withdrawn", FLAG, "withdrawn", "withdrawn", default=False)

CORRECTION = Form(
    Correction,
    "revision",
    (
        _field("revision.id", TEXT, "id", "id"),
        _field("revision.at", MOMENT, "at", _MOMENT_COLUMNS),
        *(
            _field(f"{when}.{what}", kind, f"{when}.{key}", f"{when}_{key}")
            for when in ("earlier", "later")
            for what, key, kind in (
                ("outcome", "outcome", word(Outcome)),
                ("note", "note", TEXT),
                ("is_withdrawn", "withdrawn", FLAG),
            )
        ),
    ),
)

ATTEMPT = Form(
    Attempt,
    "attempt",
    (
        _field("id", TEXT),
        _field("at", MOMENT, columns=_MOMENT_COLUMNS),
        _field("score_title", TEXT, "score.title"),
        _field("score_digest", TEXT, "score.digest"),
        _field("score_path", TEXT, "score.path"),
        _field("part_id", TEXT, "part.id"),
        _field("part_name", TEXT, "part.name"),
        _field("first_bar", NUMBER, "first"),
        _field("last_bar", NUMBER, "last"),
        _field("bars_label", TEXT, "printed"),
        _field("tempo", TEMPO),
        _field("beat", TEXT),
        _field("layers", NAMES),
        _field("silences", TEXT, default=""),
        _field("accompaniment", NAMES, default=[]),
        _field("repetitions", NUMBER),
        _field("seconds", SECONDS),
        _field("outcome", word(Outcome)),
        _field("note", TEXT),
        _field("judgement", JUDGEMENT, default=None),
        _field(
            "heard",
            HEARD,
            columns="heard_outcome heard_by heard_sides heard_missed heard_added",
            default=None,
        ),
        _WITHDRAWN,
    ),
    older=_with_own_fields,
    corrections=CORRECTION,
)

ENTRY = Form(
    LogEntry,
    "entry",
    (
        _field("id", TEXT, columns="entry_id"),
        _field("at", MOMENT, columns=_MOMENT_COLUMNS),
        _field("what", word(Activity)),
        _field("seconds", SECONDS),
        _field("note", TEXT),
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
        _field("score_title", TEXT, "score.title"),
        _field("bars.score_digest", TEXT, "score.digest", "score_digest"),
        _field("bars.part_id", TEXT, "part.id", "part_id"),
        _field("part_name", TEXT, "part.name"),
        _field("bars.first", NUMBER, "first", "first_bar"),
        _field("bars.last", NUMBER, "last", "last_bar"),
        _field("bars_label", TEXT, "printed"),
        _field("tempo", TEMPO),
        _field("beat", TEXT),
        *_REVISION,
        _field("occasion", ID_OR_NONE, columns="occasion_id", default=None),
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
        _field("id", TEXT, columns="occasion_id"),
        _field("day", DAY),
        _field("kind", word(OccasionKind)),
        _field("name", TEXT),
        *_REVISION,
        _field("score_digest", TEXT, "score", default=""),
        _WITHDRAWN,
    ),
    same=("occasion_id",),
    order=("day", "seq"),
)
"""Dates, the earliest first."""

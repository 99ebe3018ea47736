"""How a table of an exercise file is described: its keys, and which of them go together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from companion.exercise.file.kinds import Kind, Schema


@dataclass(frozen=True, slots=True)
class OneOf:
    """Keys of which exactly one is there."""

    keys: tuple[str, ...]
    """Those."""

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {"oneOf": [{"required": [key]} for key in self.keys]}


@dataclass(frozen=True, slots=True)
class Needs:
    """A key that says nothing without another."""

    key: str
    """The one."""
    other: str
    """The other."""

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {"dependentRequired": {self.key: [self.other]}}


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the file."""

    name: str
    """What it is, to be read after "of": `a drill`."""
    keys: tuple[Key, ...]
    """What can stand in it, in the order of the page."""
    rules: tuple[OneOf | Needs, ...] = ()
    """Which keys go together."""

    @property
    def told(self) -> str:
        """What is expected in its place."""
        inside = ", ".join(f"{key.name} = …" for key in self.keys[:2])
        return f"a table in braces such as {{ {inside} }}"

    def key(self, name: str) -> Key | None:
        """The key of that name."""
        return next((key for key in self.keys if key.name == name), None)

    @property
    def inner(self) -> tuple[Table, ...]:
        """The tables whose keys stand below this one's."""
        return tuple(key.value.table for key in self.keys if isinstance(key.value, Tables))

    @property
    def other_words(self) -> Mapping[str, str]:
        """What people write instead of a key, and which they mean."""
        return dict(_other_words(self.keys))

    def schema(self) -> Schema:
        """As JSON Schema."""
        made: Schema = {
            "type": "object",
            "additionalProperties": False,
            "properties": {key.name: key.schema() for key in self.keys},
        }
        if needed := [key.name for key in self.keys if key.is_needed]:
            made["required"] = needed
        if self.rules:
            made["allOf"] = [rule.schema() for rule in self.rules]
        return made


@dataclass(frozen=True, slots=True)
class Tables:
    """Several tables of one description, each under its name in double brackets."""

    table: Table
    """Each of them."""
    most: int
    """How many at most; at least one."""

    @property
    def told(self) -> str:
        """What is expected."""
        return f"up to {self.most} tables, each begun with its name in double brackets"

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {
            "type": "array",
            "items": self.table.schema(),
            "minItems": 1,
            "maxItems": self.most,
        }


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table."""

    name: str
    """As it is written."""
    value: Kind | Table | Tables
    """What stands behind it."""
    does: str
    """What it is for, in a sentence a teacher reads."""
    is_needed: bool = False
    """Whether a file without it cannot be meant."""
    also: tuple[str, ...] = field(default=())
    """What people write instead of it."""
    example: str = ""
    """A line to add where it is needed and missing."""

    def schema(self) -> Schema:
        """As JSON Schema, with what it is for."""
        return {"description": self.does, **self.value.schema()}


def _other_words(keys: tuple[Key, ...]) -> Iterator[tuple[str, str]]:
    for key in keys:
        yield from ((other, key.name) for other in key.also)

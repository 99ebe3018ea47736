"""The keys of an exercise file: the one table from which reader, schema and help are made.

A key that is not here does not exist. `format` is raised when a file of today would mean
something else; a new key does not raise it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from companion.click.plan.layers import Layer
from companion.click.words.layer_words import BOTH
from companion.exercise.file.value_kinds import (
    CLAIMS,
    FADE,
    KEY_NAME,
    LAYER,
    PLAIN_PATH,
    RATIO,
    SHOWS_TOLD,
    SILENCE,
    SILENCES,
    TEMPO_PLAN,
    Day,
    Either,
    Listed,
    Number,
    OneChoice,
    Schema,
    Text,
    ValueKind,
)
from companion.practice.attempt import Outcome
from companion.rhythm.tempo import FASTEST, SLOWEST


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
    value: ValueKind | Table | Tables
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


FORMAT = 1
"""The version that is written, and the latest that is read."""

_MOST_DRILLS = 60
"""Drills in one file at most."""

_BPM = Number(SLOWEST, FASTEST, "felt beats a minute")
_PLAN = Text(80, 'a tempo plan such as "60 to 96 by 4, twice each"', TEMPO_PLAN)

GOAL = Table(
    "a goal",
    (
        Key(
            "tempo",
            _BPM,
            "Felt beats a minute; the end of the tempo plan if left out.",
            also=("bpm",),
        ),
        Key("outcome", OneChoice(tuple(Outcome)), "How it must go; held if left out."),
        Key("times", Number(1, 999, "times", True), "Times through on one day; 1 if left out."),
        Key("days", Number(1, 60, "days", True), "On so many different days; 1 if left out."),
    ),
)
DRILL = Table(
    "a drill",
    (
        Key("title", Text(200, "a short title"), "What the drill is called.", also=("name",)),
        Key(
            "pattern",
            Text(10_000, "notes in the short notation, in quotes"),
            "The notes, one line a part.",
            also=("notes", "rhythm", "music"),
        ),
        Key(
            "score",
            Text(240, "the name of a score file beside this one", PLAIN_PATH),
            "A score beside this file, or in a folder below it.",
            also=("file", "path"),
        ),
        Key("abc", Text(10_000, "a few bars of ABC, in quotes"), "The notes in ABC."),
        Key(
            "key",
            Text(10, "a key such as D, Bb or F# minor", KEY_NAME),
            "The key signature of a pattern; C if left out.",
        ),
        Key(
            "part",
            Either((Number(1, 99, "", True), Text(100, "a part's name in quotes"))),
            "The student's part, by name or number; the first if left out.",
            also=("voice", "instrument"),
        ),
        Key(
            "bars",
            Either((Number(1, 99_999, "", True), Text(60, 'bars such as "9-16"'))),
            "Which bars; all of them if left out.",
            also=("measures", "bar"),
        ),
        Key(
            "tempo",
            Either((_BPM, _PLAN)),
            "Felt beats a minute of that part, or a tempo plan; the score's own mark if left out.",
            also=("bpm", "speed", "ladder", "ramp"),
        ),
        Key(
            "layers",
            Listed(LAYER, "layers of the click, joined by commas", (*Layer, BOTH)),
            "What the click sounds: beat, mine and theirs if left out.",
            also=("click", "layer"),
        ),
        Key("count-in", Number(0, 16, "bars", True), "Bars counted in; 1 if left out."),
        Key(
            "repeat",
            Number(1, 999, "times", True),
            "Times through; as many as the tempo plan takes if left out.",
            also=("times",),
        ),
        Key(
            "silences",
            Listed(SILENCE, 'silences such as "every 4" or "growing"', SILENCES),
            "Where the click leaves.",
            also=("rests", "gaps", "silence"),
        ),
        Key(
            "fades",
            Listed(FADE, 'fades such as "theirs out over 4"'),
            "Layers that come or go over the times through.",
            also=("fade",),
        ),
        Key("seed", Number(0, 2**31, "", True), "Which shuffle random silences are."),
        Key("goal", GOAL, "What is to be reached.", also=("aim", "target")),
        Key("listen", Text(2_000, "a sentence or two"), "What to listen for.", also=("hear",)),
        Key(
            "shows",
            Listed(rf"{RATIO}|{'|'.join(CLAIMS)}", SHOWS_TOLD, CLAIMS),
            "What it is there to show, mine first in a ratio; check looks whether it does.",
            also=("claims", "teaches"),
        ),
    ),
    (
        OneOf(("pattern", "score", "abc")),
        Needs("key", "pattern"),
        Needs("seed", "silences"),
    ),
)
EXERCISE = Table(
    "an exercise",
    (
        Key(
            "format",
            Number(1, FORMAT, "", True),
            "1, the version of this page.",
            is_needed=True,
            also=("version",),
            example="format = 1",
        ),
        Key(
            "title",
            Text(200, "a title"),
            "What the student reads first.",
            is_needed=True,
            also=("name",),
            example='title = "…"',
        ),
        Key("for", Text(200, "a name or a class"), "Whom it is for.", also=("student", "to")),
        Key("due", Day(), "By when.", also=("deadline", "date", "until")),
        Key("level", Number(1, 9, "", True), "How hard it is, 1 to 9.", also=("grade",)),
        Key(
            "instructions",
            Text(20_000, "text, which may be Markdown"),
            "What to do, in your own words.",
            also=("text", "description", "notes"),
        ),
        Key(
            "drill",
            Tables(DRILL, _MOST_DRILLS),
            "What to play, each drill under a line [[drill]].",
            is_needed=True,
            also=("drills", "exercise"),
            example="[[drill]]",
        ),
    ),
)

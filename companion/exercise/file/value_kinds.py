"""What can stand behind a key of an exercise file.

Every kind of value knows three things from the same few fields: whether a value is one,
how to say what was expected, and its JSON Schema. Written apart, the schema and the
program would drift, and an editor would praise what the program refuses.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Protocol

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import AfterFailing
from companion.click.words.layer_words import BOTH

Schema = dict[str, object]
"""A piece of JSON Schema (draft 2020-12)."""


class ValueKind(Protocol):
    """One kind of value."""

    def is_met(self, value: object) -> bool:
        """Whether a value, as JSON has it, is one."""
        ...

    @property
    def told(self) -> str:
        """What is expected, to be read after "expected"."""
        ...

    @property
    def words(self) -> tuple[str, ...]:
        """The words it may be, where there are only so many."""
        ...

    def schema(self) -> Schema:
        """The same as JSON Schema."""
        ...


@dataclass(frozen=True, slots=True)
class Text:
    """Text of some length that is not blank, perhaps of a certain shape."""

    longest: int
    """Most letters."""
    told: str
    """What it is, for a sentence."""
    shape: str = r"\S"
    """A regular expression to be found in it, alike in Python and in ECMA 262."""
    words: tuple[str, ...] = ()
    """None: it is free."""

    def is_met(self, value: object) -> bool:
        """Whether it is such a text."""
        return (
            isinstance(value, str)
            and 0 < len(value) <= self.longest
            and re.search(self.shape, value) is not None
        )

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {
            "type": "string",
            "minLength": 1,
            "maxLength": self.longest,
            "pattern": self.shape,
        }


@dataclass(frozen=True, slots=True)
class OneChoice:
    """One of several words."""

    words: tuple[str, ...]
    """Those."""

    @property
    def told(self) -> str:
        """`one of held, secure`."""
        return f"one of {', '.join(self.words)}"

    def is_met(self, value: object) -> bool:
        """Whether it is one of the words."""
        return isinstance(value, str) and value in self.words

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {"enum": list(self.words)}


@dataclass(frozen=True, slots=True)
class Number:
    """A number in a range, with decimals or without."""

    low: float
    """The least."""
    high: float
    """The most."""
    unit: str
    """What it counts; empty where it counts nothing."""
    is_whole: bool = False
    """Whether it has no decimals."""
    words: tuple[str, ...] = ()
    """None: it is a number."""

    @property
    def told(self) -> str:
        """`a number of felt beats a minute from 10 to 400`."""
        if self.low == self.high:
            return f"the number {self.low:g}"
        kind = "whole number" if self.is_whole else "number"
        of = f" of {self.unit}" if self.unit else ""
        return f"a {kind}{of} from {self.low:g} to {self.high:g}"

    def is_met(self, value: object) -> bool:
        """Whether it is such a number; `3.0` is whole, as in JSON Schema."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            return False
        if not self.low <= value <= self.high:
            return False
        return not self.is_whole or value == int(value)

    def schema(self) -> Schema:
        """As JSON Schema."""
        kind = "integer" if self.is_whole else "number"
        return {"type": kind, "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the calendar: `2026-05-03`, with or without quotes."""

    told: str = "a day such as 2026-05-03"
    """What it is, for a sentence."""
    words: tuple[str, ...] = ()
    """None: it is a date."""

    def is_met(self, value: object) -> bool:
        """Whether it is the text of a day without a clock time."""
        is_day = isinstance(value, str) and re.search(_DAY, value) is not None
        return is_day and _is_in_the_calendar(str(value))

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {"type": "string", "format": "date", "pattern": _DAY}


END = r"(?![\s\S])"
"""The very end of a text, in Python and in ECMA 262 alike; `$` also stops before a line end."""

_DAY = rf"^[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}{END}"


def _is_in_the_calendar(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


@dataclass(frozen=True, slots=True)
class Listed:
    """Words in one text, joined by commas, each of a certain shape."""

    one: str
    """A regular expression for one of them, alike in Python and in ECMA 262."""
    told: str
    """What it is, for a sentence."""
    words: tuple[str, ...] = ()
    """Words that one of them may be, for telling the nearest."""
    longest: int = 400
    """Most letters."""

    @property
    def shape(self) -> str:
        """A regular expression for all of it."""
        return rf"^(?:{self.one})(?:, ?(?:{self.one}))*{END}"

    def is_met(self, value: object) -> bool:
        """Whether it is such a text."""
        return (
            isinstance(value, str)
            and len(value) <= self.longest
            and re.search(self.shape, value) is not None
        )

    def first_wrong(self, value: str) -> str:
        """The first of its words that is none; the whole text where all of them are."""
        pieces = [piece.strip() for piece in value.split(",")]
        return next((p for p in pieces if not re.search(rf"^(?:{self.one}){END}", p)), value)

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {"type": "string", "maxLength": self.longest, "pattern": self.shape}


@dataclass(frozen=True, slots=True)
class Either:
    """One kind or another."""

    kinds: tuple[ValueKind, ...]
    """Those."""

    @property
    def told(self) -> str:
        """Both, joined by "or"."""
        return ", or ".join(kind.told for kind in self.kinds)

    @property
    def words(self) -> tuple[str, ...]:
        """The words any of them may be."""
        return tuple(_words_of(self.kinds))

    def is_met(self, value: object) -> bool:
        """Whether it is any of them."""
        return any(kind.is_met(value) for kind in self.kinds)

    def schema(self) -> Schema:
        """As JSON Schema."""
        return {"anyOf": [kind.schema() for kind in self.kinds]}


def _words_of(kinds: tuple[ValueKind, ...]) -> Iterator[str]:
    for kind in kinds:
        yield from kind.words


# The shapes of words in an exercise file, for the reader and for JSON Schema alike.


CLAIMS = (
    "hemiola",
    "beat = beat",
    "note = note",
    "interlock",
    "after-beats",
    "entries from rests",
    "additive meter",
    "mixed meter",
    "travelling barlines",
    "silences",
)
"""What a drill can say that it shows, beside a ratio."""

_DEVICES = (
    r"(?:[cC][oO][nN]|[pP][rR][nN]|[aA][uU][xX]|[nN][uU][lL]|(?:[cC][oO][mM]|[lL][pP][tT])[0-9])"
)
PLAIN_PATH = (
    rf"^(?![\s\S]*(?:^|/)(?:{_DEVICES}(?:\.[^/]*)?|[^/]*[. ])(?:/|{END}))"
    rf"[^/\\:*?\x22<>|\x00-\x1f\x7f]+(?:/[^/\\:*?\x22<>|\x00-\x1f\x7f]+)*{END}"
)
"""A relative path that means the same on every system and never leads out of its folder: no
`..`, no drive, no name ending in a dot or a space, no name of a device (Microsoft, "Naming
Files, Paths, and Namespaces")."""

KEY_NAME = rf"^(?:(?:[A-G]|[FC]#|[BEADGC]b)(?: major)?|(?:[A-G]|[FCGDA]#|[BEA]b) minor){END}"
RATIO = r"(?:[2-9]|1[0-6]):(?:[2-9]|1[0-6]) in the (?:beat|bar)"
SHOWS_TOLD = f'a ratio such as "3:2 in the beat", or {", ".join(CLAIMS)}'
SILENCES = ("every 4", "growing", "random 20%", "mine only", "theirs only")

# Spelled out because \s is not the same in Python and in JSON Schema (U+0085, U+FEFF).
_SPACES = r"\x00-\x20\x7f-\xa0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000\ufeff"
_ONE_LAYER = rf"{'|'.join(Layer)}|rhythm:[^,{_SPACES}][^,\x00-\x1f]{{0,79}}"
LAYER = f"{_ONE_LAYER}|{BOTH}"
_UNIT = r"(?: (?:bars?|beats?|times?))?"
SILENCE = (
    rf"every (?:[2-9]|[1-9][0-9])(?:st|nd|rd|th)?{_UNIT}|growing(?: to [1-9][0-9]?)?{_UNIT}"
    rf"|random (?:0\.[0-9]?[1-9]|[1-9][0-9]?%){_UNIT}|(?:mine|theirs) only"
)
FADE = rf"(?:{_ONE_LAYER}) (?:in|out) over [1-9][0-9]?(?: times)?"

_N = r"(?:[1-9][0-9](?:\.[0-9]{1,3})?|[1-3][0-9][0-9](?:\.[0-9]{1,3})?|400)"
_EACH = r"(?:, (?:once|twice|(?:[2-9]|[1-9][0-9]) times) each)?"
_ELSE = rf"(?:, else (?:{'|'.join(AfterFailing)}))?"
TEMPO_PLAN = (
    rf"^(?:{_N}|{_N} to {_N} by [1-9][0-9]?(?:\.[0-9]{{1,2}})?{_EACH}{_ELSE}"
    rf"|{_N} to {_N}(?: over [1-9][0-9]{{0,2}} times)?|{_N} and {_N}{_EACH}"
    rf"|as marked|(?:[1-9][0-9]|[1-3][0-9][0-9]|400)%(?: of marked)?){END}"
)
"""The words of a tempo plan (`companion.click.words.tempo_words`), in one spelling."""

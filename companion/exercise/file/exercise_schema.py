"""What can stand in an exercise file, as the JSON Schema that is published (draft 2020-12).

The reader (`companion.exercise.file.faults`) goes by this very table, so an editor never
praises what the program refuses. `title` says what is expected, `examples` the words that
are compared with a misspelt one, `x-also` what people write instead of a key. A TOML date
counts as its text. `schema.json` next to this module is the same, word for word; after a
change write it again with `python -m companion.exercise.file.exercise_schema`.

A key that is not here does not exist. `format` is raised when a file of today would mean
something else; a new key does not raise it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import AfterFailing
from companion.click.words.layer_words import BOTH
from companion.practice.attempt import Outcome
from companion.rhythm.tempo import FASTEST, SLOWEST

Schema = dict[str, Any]
"""A piece of JSON Schema."""

FORMAT = 3
"""The version that is written, and the latest that is read."""

_MOST_DRILLS = 60

# The shapes of words: regular expressions alike in Python and in ECMA 262.

END = r"(?![\s\S])"
"""The very end of a text, in Python and in ECMA 262 alike; `$` also stops before a line end."""

FEATURES = (
    "hemiola",
    "displacement",
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
"""What a drill can show next to a ratio."""

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
_RATIO = r"(?:[2-9]|1[0-6]):(?:[2-9]|1[0-6]) in the (?:beat|bar)"
_SILENCES = ("every 4", "growing", "random 20%", "mine only", "theirs only")

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

_DAY = rf"^[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}{END}"


def _text(longest: int, title: str, shape: str = r"\S") -> Schema:
    """Text of at most so many letters in which a shape is found; not blank."""
    return {"title": title, "type": "string", "maxLength": longest, "pattern": shape}


def _listed(one: str, title: str, words: Iterable[str] = ()) -> Schema:
    """Words in one text, joined by commas, each of one shape."""
    shape = rf"^(?:{one})(?:, ?(?:{one}))*{END}"
    return {**_text(400, title, shape), "examples": list(words)}


def _number(low: float, high: float, unit: str = "", kind: str = "number") -> Schema:
    """A number in a range; with `integer`, 3.0 is a whole number, too."""
    called = "whole number" if kind == "integer" else "number"
    of = f" of {unit}" if unit else ""
    title = f"a {called}{of} from {low:g} to {high:g}" if low != high else f"the number {low:g}"
    return {"title": title, "type": kind, "minimum": low, "maximum": high}


def _whole(low: int, high: int, unit: str = "") -> Schema:
    return _number(low, high, unit, "integer")


def _either(*kinds: Schema) -> Schema:
    return {"title": ", or ".join(kind["title"] for kind in kinds), "anyOf": list(kinds)}


def _key(value: Schema, does: str, *also: str) -> Schema:
    """A key: what it is for, in a sentence a teacher reads, and its other names."""
    return {"description": does, **value, **({"x-also": list(also)} if also else {})}


def _table(title: str, keys: dict[str, Schema], **rules: object) -> Schema:
    """A table, its keys in the order of the page."""
    return {
        "title": title,
        "type": "object",
        "additionalProperties": False,
        "properties": keys,
        **rules,
    }


_BPM = _number(SLOWEST, FASTEST, "felt beats a minute")
_PLAN = _text(80, 'a tempo plan such as "60 to 96 by 4, twice each"', TEMPO_PLAN)
_OUTCOME: Schema = {
    "title": f"one of {', '.join(Outcome)}",
    "enum": list(Outcome),
    "examples": list(Outcome),
}
_DUE: Schema = {**_text(10, "a day such as 2026-05-03", _DAY), "format": "date"}

GOAL = _table(
    "a goal",
    {
        "tempo": _key(_BPM, "Felt beats a minute; if left out, the end of the tempo plan.", "bpm"),
        "outcome": _key(_OUTCOME, "How it must go; held if left out."),
        "times": _key(_whole(1, 999, "times"), "Times through on one day; 1 if left out."),
        "days": _key(_whole(1, 60, "days"), "On so many different days; 1 if left out."),
    },
)
DRILL = _table(
    "a drill",
    {
        "title": _key(_text(200, "a short title"), "What the drill is called.", "name"),
        "pattern": _key(
            _text(10_000, "notes in the short notation, in quotes"),
            "The notes, one line a part.",
            *("notes", "rhythm", "music"),
        ),
        "score": _key(
            _text(240, "the name of a score file next to this one", PLAIN_PATH),
            "A score next to this file, or in a folder below it.",
            *("file", "path"),
        ),
        "abc": _key(_text(10_000, "a few bars of ABC, in quotes"), "The notes in ABC."),
        "key": _key(
            _text(10, "a key such as D, Bb or F# minor", KEY_NAME),
            "The key signature of a pattern; C if left out.",
        ),
        "part": _key(
            _either(_whole(1, 99), _text(100, "a part's name in quotes")),
            "The student's part, by name or number; the first if left out.",
            *("voice", "instrument"),
        ),
        "bars": _key(
            _either(_whole(0, 99_999), _text(60, 'bars such as "9-16"')),
            "Which bars, by their printed numbers; in format 1 counted through the file. All of "
            "them if left out.",
            *("measures", "bar"),
        ),
        "tempo": _key(
            _either(_BPM, _PLAN),
            "Felt beats a minute of that part, or a tempo plan; the score's own mark if left out.",
            *("bpm", "speed", "ladder", "ramp"),
        ),
        "layers": _key(
            _listed(LAYER, "layers of the click, joined by commas", (*Layer, BOTH)),
            "What the click sounds: beat, mine and theirs if left out.",
            *("click", "layer"),
        ),
        "count-in": _key(_whole(0, 16, "bars"), "Bars counted in; 1 if left out."),
        "repeat": _key(
            _whole(1, 999, "times"),
            "Times through; as many as the tempo plan takes if left out.",
            "times",
        ),
        "silences": _key(
            _listed(SILENCE, 'silences such as "every 4" or "growing"', _SILENCES),
            "When the click is silent.",
            *("rests", "gaps", "silence"),
        ),
        "fades": _key(
            _listed(FADE, 'fades such as "theirs out over 4"'),
            "Layers that come or go over the times through.",
            "fade",
        ),
        "seed": _key(_whole(0, 2**31), "Which shuffle random silences are."),
        "goal": _key(GOAL, "What is to be reached.", "aim", "target"),
        "listen": _key(_text(2_000, "a sentence or two"), "What to listen for.", "hear"),
        "shows": _key(
            _listed(
                f"{_RATIO}|{'|'.join(FEATURES)}",
                f'a ratio such as "3:2 in the beat", or {", ".join(FEATURES)}',
                FEATURES,
            ),
            "What the drill shows, mine first in a ratio; check looks whether it is there.",
            *("claims", "teaches"),
        ),
    },
    oneOf=[{"required": [source]} for source in ("pattern", "score", "abc")],
    dependentRequired={"key": ["pattern"], "seed": ["silences"]},
)
_DRILLS: Schema = {
    "title": f"up to {_MOST_DRILLS} tables, each begun with its name in double brackets",
    "type": "array",
    "items": DRILL,
    "minItems": 1,
    "maxItems": _MOST_DRILLS,
}
EXERCISE = _table(
    "an exercise",
    {
        "format": _key(_whole(1, FORMAT), "3, the version of this page.", "version"),
        "title": _key(_text(200, "a title"), "What the student reads first.", "name"),
        "for": _key(_text(200, "a name or a class"), "Whom it is for.", "student", "to"),
        "due": _key(_DUE, "By when.", "deadline", "date", "until"),
        "level": _key(_whole(1, 9), "How hard it is, 1 to 9.", "grade"),
        "instructions": _key(
            _text(20_000, "text, which may be Markdown"),
            "What to do, in your own words.",
            *("text", "description", "notes"),
        ),
        "drill": _key(
            _DRILLS, "What to play, each drill under a line [[drill]].", "drills", "exercise"
        ),
    },
    required=["format", "title", "drill"],
)

PUBLISHED = Path(__file__).with_name("schema.json")


def schema_text() -> str:
    """The text of `schema.json`."""
    whole = {"$schema": "https://json-schema.org/draft/2020-12/schema", **EXERCISE}
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    PUBLISHED.write_text(schema_text(), "utf-8")

"""What is wrong with an exercise file, each fault with its line and column.

A teacher mends a file in a plain editor, so a fault without its place is half a fault,
and a reader that stops at the first one sends them back and forth. Faults are therefore
collected as data and become one error only at the end.

The form is judged by `exercise_schema` alone. What the notes say (do they fill their bars,
are the bars in the score) is no matter of form.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from math import inf

from companion.errors import CompanionError, in_brief
from companion.exercise.file.exercise_schema import DRILL, EXERCISE, FORMAT, Schema
from companion.exercise.file.toml_places import Path


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing wrong at one place of a file."""

    line: int
    """From 1."""
    column: int
    """Letters from the beginning of the line, from 1."""
    what: str
    """What is wrong, without a full stop."""
    next: str = ""
    """What to do, as a sentence; empty if `what` says it."""

    def sentence(self) -> str:
        """`title is missing. Write title = "…".`"""
        return in_brief(f"{self.what.rstrip('.')}.{f' {self.next}' if self.next else ''}")


class ExerciseError(CompanionError):
    """An exercise file cannot serve as it is."""

    def __init__(self, name: str, faults: Iterable[Fault]) -> None:
        """`name` is how the file is called, `faults` at least one."""
        self.name = name
        self.faults: Sequence[Fault] = sorted(set(faults))
        first, more = self.faults[0], len(self.faults) - 1
        advice = f"There is one more; {_ALL}" if more == 1 else f"There are {more} more; {_ALL}"
        super().__init__(
            first.what,
            where=f"{name}:{first.line}:{first.column}",
            next=" ".join(filter(None, (first.next, advice if more else ""))),
        )

    def lines(self) -> list[str]:
        """Every fault as `file:line:column: sentence`, from the top of the file."""
        return [f"{self.name}:{one.line}:{one.column}: {one.sentence()}" for one in self.faults]


_ALL = "companion exercise check lists them all."


def nearest(word: str, words: Iterable[str], also: Mapping[str, str] | None = None) -> str:
    """The valid word that is nearest to one that is not; empty if none is near.

    `also` holds other words people use for one of them.
    """
    known = {word.casefold(): word for word in words} | dict(also or {})
    near = get_close_matches(word.casefold()[:80], list(known), n=1, cutoff=0.6)
    return known[near[0]] if near else ""


def did_you_mean(word: str, words: Iterable[str], also: Mapping[str, str] | None = None) -> str:
    """`Did you mean “tempo”?`, or nothing if no word is near."""
    found = nearest(word, words, also)
    return f"Did you mean “{found}”?" if found else ""


@dataclass(frozen=True, slots=True)
class FormFault:
    """A fault of form, before its place in the text is known."""

    path: Path
    at_key: bool
    """Whether the key itself is wrong, not its value."""
    what: str
    next: str = ""


def form_faults(value: object, table: Schema = EXERCISE, path: Path = ()) -> Iterator[FormFault]:
    """Everything wrong with a value, as JSON has it, that should be such a table."""
    if not isinstance(value, dict):
        inside = ", ".join(f"{name} = …" for name in list(table["properties"])[:2])
        yield _unexpected(value, f"a table in braces such as {{ {inside} }}", path)
        return
    for name, inner in value.items():
        key = table["properties"].get(name)
        yield from _unknown(path, name, table) if key is None else _value(inner, key, (*path, name))
    for name in table.get("required", ()):
        if name not in value and not _is_meant(value, (name,), table):
            yield FormFault(path, True, f"“{name}” is missing in {table['title']}", _ADD[name])
    yield from _sources(value, table, path)
    for name, (other,) in table.get("dependentRequired", {}).items():
        if name in value and other not in value:
            what = f"“{name}” needs “{other}”"
            yield FormFault((*path, name), True, what, f"Add “{other}”, or leave it out.")


_ADD = {"format": f"Add format = {FORMAT}.", "title": 'Add title = "…".', "drill": "Add [[drill]]."}


def _value(value: object, wanted: Schema, path: Path) -> Iterator[FormFault]:
    kind = wanted.get("type")
    if kind == "object":
        yield from form_faults(value, wanted, path)
    elif kind == "array" and isinstance(value, dict):
        what = f"[{path[-1]}] is in single brackets"
        yield FormFault(path, True, what, f"Write [[{path[-1]}]]: there can be several.")
    elif kind == "array" and isinstance(value, list) and 0 < len(value) <= wanted["maxItems"]:
        for number, inside in enumerate(value):
            yield from form_faults(inside, wanted["items"], (*path, number))
    elif isinstance(value, str) and len(value) > max(most := _longest(wanted), _GLANCE):
        what = f"{_cut(str(path[-1]))}: this text has {len(value):,} letters"
        yield FormFault(path, False, what, f"Keep it to {most:,.0f}.")
    elif kind == "array" or not _is_met(value, wanted):
        near = did_you_mean(_misspelt(value, wanted), wanted.get("examples", ()))
        yield _unexpected(value, wanted["title"], path, near)


_GLANCE = 100
"""Letters of a text that is so far off in another way that its length tells nothing, as a day
with its clock."""


def _longest(wanted: Schema) -> float:
    """Letters a text may have at most; no bound where none is wanted."""
    if "anyOf" in wanted:
        texts = [one for one in wanted["anyOf"] if one.get("type") == "string"]
        return max(map(_longest, texts), default=inf)
    return float(wanted.get("maxLength", inf))


def _is_met(value: object, wanted: Schema) -> bool:
    """Whether a value is what JSON Schema calls valid; `3.0` is an integer there."""
    if "anyOf" in wanted:
        return any(_is_met(value, one) for one in wanted["anyOf"])
    if "enum" in wanted:
        return value in wanted["enum"]
    if wanted["type"] == "string":
        return (
            isinstance(value, str)
            and len(value) <= wanted["maxLength"]
            and re.search(wanted["pattern"], value) is not None
            and ("format" not in wanted or _is_in_the_calendar(value))
        )
    return (
        isinstance(value, int | float)
        and not isinstance(value, bool)
        and wanted["minimum"] <= value <= wanted["maximum"]
        and (wanted["type"] == "number" or value == int(value))
    )


def _is_in_the_calendar(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _misspelt(value: object, wanted: Schema) -> str:
    """The first of the words joined by commas that is none; the whole text if all of them are."""
    text = value if isinstance(value, str) else ""
    words = [word.strip() for word in text.split(",")]
    return next((word for word in words if not _is_met(word, wanted)), text)


def _unexpected(value: object, title: str, path: Path, advice: str = "") -> FormFault:
    names = [part for part in path if isinstance(part, str)]
    what = f"{_cut(names[-1])}: expected {title}, found {_found(value)}"
    return FormFault(path, False, what, advice)


def _unknown(path: Path, name: str, table: Schema) -> Iterator[FormFault]:
    keys = table["properties"]
    if table is EXERCISE and name in DRILL["properties"]:
        advice = "It belongs to a drill: write it below [[drill]]."
    elif table is DRILL and name in EXERCISE["properties"]:
        advice = "It belongs to an exercise: write it above the first [[drill]]."
    else:
        advice = did_you_mean(name, keys, _other_names(table)) or f"Its keys are {', '.join(keys)}."
    yield FormFault((*path, name), True, f"“{_cut(name)}” is not a key of {table['title']}", advice)


def _other_names(table: Schema) -> dict[str, str]:
    keys = table["properties"].items()
    return {other: name for name, key in keys for other in key.get("x-also", ())}


def _sources(value: dict[str, object], table: Schema, path: Path) -> Iterator[FormFault]:
    """That just one of the keys is there of which a table needs one."""
    keys = [one["required"][0] for one in table.get("oneOf", ())]
    there = [key for key in keys if key in value]
    if len(there) > 1:
        what = f"{table['title']} cannot have both “{there[0]}” and “{there[1]}”"
        yield FormFault((*path, there[1]), True, what, "Keep one of them.")
    elif keys and not there and not _is_meant(value, keys, table):
        listed = f"{', '.join(f'“{key}”' for key in keys[:-1])} or “{keys[-1]}”"
        yield FormFault(path, True, f"{table['title']} needs {listed}")


def _is_meant(value: dict[str, object], keys: Sequence[str], table: Schema) -> bool:
    """Whether an unknown key was already told to be one of these."""
    known = table["properties"]
    unknown = [name for name in value if name not in known]
    return any(nearest(name, known, _other_names(table)) in keys for name in unknown)


def _found(value: object) -> str:
    """A value as a person would name it."""
    if isinstance(value, str):
        return f"the text “{_cut(value)}”" if value.strip() else "an empty text"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, dict):
        return "a table"
    return "something that is not a number" if value is None else f"the number {_cut(str(value))}"


def _cut(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 40 else f"{line[:39]}…"

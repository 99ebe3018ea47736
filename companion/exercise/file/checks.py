"""Whether a parsed file has the form of an exercise: every key known, every value of its kind.

All faults are found, not the first. What the notes say (do they fill their bars, are the
bars in the score) is no matter of form and is looked at in `music.py`; the JSON Schema
knows exactly what is known here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from companion.exercise.file.faults import meant, nearest
from companion.exercise.file.key_table import Key, Needs, OneOf, Table, Tables
from companion.exercise.file.toml_places import Path
from companion.exercise.file.value_kinds import Listed, ValueKind


@dataclass(frozen=True, slots=True)
class FoundFaults:
    """A fault of form."""

    path: Path
    """What it is about."""
    at_key: bool
    """Whether the key itself is wrong, not its value."""
    what: str
    """What is wrong."""
    next: str = ""
    """What to do."""


def faults_of_form(
    value: object, table: Table, path: Path = (), outer: Table | None = None
) -> Iterator[FoundFaults]:
    """Everything wrong with a value that should be such a table; `outer` is the one above it."""
    if not isinstance(value, dict):
        yield FoundFaults(
            path, False, f"{_name(path)}: expected {table.told}, found {shown_value(value)}"
        )
        return
    for name, inside in value.items():
        key = table.key(name)
        if key is None:
            yield _unknown((*path, name), name, table, outer)
        else:
            yield from _of_value(inside, key.value, (*path, name), table)
    for key in table.keys:
        if key.is_needed and key.name not in value and not _is_meant(value, (key.name,), table):
            yield FoundFaults(path, True, f"“{key.name}” is missing in {table.name}", _added(key))
    for rule in table.rules:
        if isinstance(rule, OneOf):
            yield from _of_one(value, rule, table, path)
        else:
            yield from _of_need(value, rule, path)


def _added(key: Key) -> str:
    return f"Add {key.example}." if key.example else key.does


def _of_value(
    value: object, wanted: ValueKind | Table | Tables, path: Path, outer: Table
) -> Iterator[FoundFaults]:
    if isinstance(wanted, Table):
        yield from faults_of_form(value, wanted, path)
    elif isinstance(wanted, Tables):
        yield from _of_tables(value, wanted, path, outer)
    elif not wanted.is_met(value):
        yield _wrong(value, wanted, path)


def _of_tables(value: object, wanted: Tables, path: Path, outer: Table) -> Iterator[FoundFaults]:
    if isinstance(value, dict):
        name = path[-1]
        what = f"[{name}] stands in single brackets"
        yield FoundFaults(path, True, what, f"Write [[{name}]]: there can be several.")
    elif not isinstance(value, list) or not 0 < len(value) <= wanted.most:
        yield FoundFaults(
            path, False, f"{_name(path)}: expected {wanted.told}, found {shown_value(value)}"
        )
    else:
        for number, inside in enumerate(value):
            yield from faults_of_form(inside, wanted.table, (*path, number), outer)


def _wrong(value: object, wanted: ValueKind, path: Path) -> FoundFaults:
    wrong = value if isinstance(value, str) else ""
    if isinstance(wanted, Listed):
        wrong = wanted.first_wrong(wrong)
    near = meant(wrong, wanted.words)
    what = f"{_name(path)}: expected {wanted.told}, found {shown_value(value)}"
    return FoundFaults(path, False, what, near)


def _unknown(path: Path, name: str, table: Table, outer: Table | None) -> FoundFaults:
    what = f"“{_cut(name)}” is no key of {table.name}"
    if any(inner.key(name) for inner in table.inner):
        return FoundFaults(path, True, what, "It belongs to a drill: write it below [[drill]].")
    if outer and outer.key(name):
        advice = f"It belongs to {outer.name}: write it above the first [[drill]]."
        return FoundFaults(path, True, what, advice)
    words = [key.name for key in table.keys]
    near = meant(name, words, dict(table.other_words))
    return FoundFaults(path, True, what, near or f"Its keys are {', '.join(words)}.")


def _of_one(
    value: dict[str, object], rule: OneOf, table: Table, path: Path
) -> Iterator[FoundFaults]:
    there = [key for key in rule.keys if key in value]
    if len(there) > 1:
        what = f"“{there[0]}” and “{there[1]}” exclude each other in {table.name}"
        yield FoundFaults((*path, there[1]), True, what, "Keep one of them.")
    elif not there and not _is_meant(value, rule.keys, table):
        listed = f"{', '.join(f'“{key}”' for key in rule.keys[:-1])} or “{rule.keys[-1]}”"
        yield FoundFaults(path, True, f"{table.name} needs {listed}")


def _is_meant(value: dict[str, object], keys: tuple[str, ...], table: Table) -> bool:
    """Whether an unknown key was already told to be one of these."""
    words = [key.name for key in table.keys]
    unknown = [name for name in value if name not in words]
    return any(nearest(name, words, dict(table.other_words)) in keys for name in unknown)


def _of_need(value: dict[str, object], rule: Needs, path: Path) -> Iterator[FoundFaults]:
    if rule.key in value and rule.other not in value:
        what = f"“{rule.key}” says nothing without “{rule.other}”"
        yield FoundFaults((*path, rule.key), True, what, f"Add “{rule.other}”, or leave it out.")


def _name(path: Path) -> str:
    names = [part for part in path if isinstance(part, str)]
    return _cut(names[-1]) if names else "the file"


def shown_value(value: object) -> str:
    """A value as a person would name it."""
    if isinstance(value, str):
        return f"the text “{_cut(value)}”" if value.strip() else "an empty text"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, dict):
        return "a table"
    if value is None:
        return "what is no number"
    return f"the number {_cut(str(value))}"


def _cut(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) <= 40 else f"{line[:39]}…"

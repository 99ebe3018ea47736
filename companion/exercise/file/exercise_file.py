"""From the bytes of an exercise file to an exercise, or to every fault in it.

Whatever the bytes are, what comes out is an exercise or an `ExerciseError`: a file written
by hand comes in every state, and one that came by mail may have been made to hurt.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time
from math import isfinite
from typing import Any

from companion.click.words.tempo_words import parse_tempo
from companion.errors import RequestError
from companion.exercise.file.checks import FoundFaults, faults_of_form
from companion.exercise.file.exercise import Exercise
from companion.exercise.file.faults import ExerciseError, Fault
from companion.exercise.file.from_values import exercise_from
from companion.exercise.file.key_table import EXERCISE, FORMAT
from companion.exercise.file.toml_places import Path, Places, TooDeep, places_of

LARGEST = 256 * 1024
"""Bytes of an exercise file at most."""

_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True, slots=True)
class Written:
    """An exercise and where everything stands in its file."""

    exercise: Exercise
    """What it says."""
    places: Places
    """Where."""
    name: str
    """How the file is called in sentences."""

    def fault(self, path: Path, what: str, advice: str = "") -> Fault:
        """A fault at a value."""
        return Fault(*self.places.of_value(path), what, advice)


def read_exercise(content: bytes, name: str) -> Written:
    """Read an exercise file. Raises ExerciseError with every fault of form."""
    text = _text(content, name)
    plain, places = _parsed(text, name)
    version = plain.get("format")
    if isinstance(version, int) and not isinstance(version, bool) and version > FORMAT:
        what = f"this exercise is written in format {version}, and this companion reads {FORMAT}"
        place = places.of_value(("format",))
        raise ExerciseError(name, [Fault(*place, what, "Update companion, then open it again.")])
    faults = [_placed(found, places) for found in faults_of_form(plain, EXERCISE)]
    faults = faults or [_placed(found, places) for found in _faults_of_tempo(plain)]
    if faults:
        raise ExerciseError(name, faults)
    return Written(exercise_from(plain), places, name)


def _faults_of_tempo(plain: dict[str, Any]) -> Iterator[FoundFaults]:
    """Tempo plans whose numbers do not go together; no schema can say that."""
    for number, drill in enumerate(plain["drill"]):
        try:
            if isinstance(drill.get("tempo"), str):
                parse_tempo(drill["tempo"])
        except RequestError as fault:
            yield FoundFaults(("drill", number, "tempo"), False, fault.what, fault.next)


def _placed(found: FoundFaults, places: Places) -> Fault:
    place = places.of_key(found.path) if found.at_key else places.of_value(found.path)
    return Fault(*place, found.what, found.next)


def _text(content: bytes, name: str) -> str:
    """The file's letters, line ends as the standard reader has them."""
    if len(content) > LARGEST:
        what = f"this file is over {LARGEST // 1024} kilobytes, too long for an exercise"
        raise ExerciseError(name, [Fault(1, 1, what, "Put long scores in files beside it.")])
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise ExerciseError(name, [Fault(1, 1, "this file is saved as UTF-16", _UTF_8)])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        before = content[: fault.start].decode("utf-8-sig", "replace")
        line = before.count("\n") + 1
        column = len(before) - before.rfind("\n")
        raise ExerciseError(
            name, [Fault(line, column, "this letter is not UTF-8", _UTF_8)]
        ) from None
    return text.replace("\r\n", "\n")


_UTF_8 = "Save the file again as UTF-8."


def _parsed(text: str, name: str) -> tuple[dict[str, Any], Places]:
    try:
        places = places_of(text)
        return as_json(tomllib.loads(text)), places
    except TooDeep as fault:
        place = Places(text).line_and_column(fault.args[0])
        what = "keys or values are nested too deeply here"
        raise ExerciseError(name, [Fault(*place, what, "An exercise has two levels.")]) from None
    except ValueError as fault:
        raise ExerciseError(name, [_of_syntax(str(fault), text)]) from None


def as_json(value: Any) -> Any:  # noqa: ANN401
    """The values as JSON has them: a date is its text, and what is no number is nothing.

    So the program judges exactly what a JSON Schema would see.
    """
    if isinstance(value, dict):
        return {name: as_json(inside) for name, inside in value.items()}
    if isinstance(value, list):
        return [as_json(inside) for inside in value]
    if isinstance(value, date | time):
        return value.isoformat()
    return None if isinstance(value, float) and not isfinite(value) else value


def _of_syntax(said: str, text: str) -> Fault:
    """What the standard reader says, at its place."""
    match = _PLACE.search(said)
    places = Places(text)
    if match is None or match[1] is None:
        line, column = places.line_and_column(len(text.rstrip()))
    else:
        line, column = int(match[1]), int(match[2])
    what = _PLACE.sub("", said).replace("'", "“", 1).replace("'", "”", 1)
    row = text.split("\n")[line - 1] if line <= text.count("\n") + 1 else ""
    return Fault(line, column, f"this is no TOML: {what[:1].lower()}{what[1:]}", _advice(row))


def _advice(row: str) -> str:
    """What a line that is no TOML most likely lacks."""
    key, equals, value = row.partition("=")
    if set(row) & set("“”„‘’«»"):
        return 'Write straight quotes: ".'
    if not equals and ":" in row:
        return "Write = between a key and its value."
    if re.match(r" *[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
        return "There is no such day in the calendar."
    if equals and value.strip() and value.strip()[0] not in "\"'[{+-0123456789tfin":
        return f'Put the text in quotes: {key.strip()} = "{value.strip()[:30]}".'
    if value.count('"') % 2:
        return "A quote is not closed."
    return ""

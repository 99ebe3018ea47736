"""Exercise files, read and written.

Whatever the bytes are, what comes out is an exercise or an `ExerciseError`: a file written
by hand comes in every state, and one that came by mail may have been made to hurt.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, time
from fractions import Fraction
from math import isfinite
from typing import Any

from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, TempoPlan, Turns
from companion.click.words.layer_words import parse_layers
from companion.click.words.tempo_words import parse_tempo, tempo_in_words
from companion.errors import RequestError
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.exercise.file.exercise_schema import DRILL, EXERCISE, FORMAT, GOAL, Schema
from companion.exercise.file.faults import ExerciseError, Fault, FormFault, form_faults
from companion.exercise.file.toml_places import Path, Places, TooDeeplyNested, places_of
from companion.practice.attempt import Outcome

Values = dict[str, Any]
"""A file's values by key, as JSON has them."""

LARGEST = 256 * 1024
"""Bytes of an exercise file at most."""

_LONGEST_NUMBER = 100
"""Characters; days with their clock are shorter."""
_PLACE = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True, slots=True)
class ExerciseFile:
    """An exercise and where everything stands in its file."""

    exercise: Exercise
    places: Places
    name: str
    """How the file is called in sentences."""

    def fault(self, path: Path, what: str, advice: str = "") -> Fault:
        """A fault at a value."""
        return Fault(*self.places.of_value(path), what, advice)


def read_exercise(content: bytes, name: str) -> ExerciseFile:
    """Read an exercise file. Raises ExerciseError with every fault of form."""
    text = _text(content, name)
    plain, places = _parsed(text, name)
    version = plain.get("format")
    if isinstance(version, int) and not isinstance(version, bool) and version > FORMAT:
        what = f"this exercise is written in format {version}, and this companion reads {FORMAT}"
        place = places.of_value(("format",))
        raise ExerciseError(name, [Fault(*place, what, "Update companion, then open it again.")])
    faults = [_placed(found, places) for found in form_faults(plain)]
    faults = faults or [_placed(found, places) for found in _faults_of_tempo(plain)]
    if faults:
        raise ExerciseError(name, faults)
    if version == 1:
        for drill in plain["drill"]:
            if "bars" in drill:
                drill["bars"] = _as_places(_name_or_number(drill["bars"]))
    exercise = exercise_from(plain)
    if plain["format"] < _FELT_BEAMS:
        early = tuple(replace(drill, is_early=bool(drill.pattern)) for drill in exercise.drills)
        exercise = replace(exercise, drills=early)
    return ExerciseFile(exercise, places, name)


_FELT_BEAMS = 3
"""The first format whose patterns are beamed as they are felt. A log knows a score by its
bytes, so earlier ones are beamed as they were."""


def _as_places(bars: str) -> str:
    """Bars as format 1 counted them, through the file: `14-21` is `@14-@21`."""
    if re.match(r"[^-–—]*:", bars):  # the end is in the movement of the beginning
        return bars
    return re.sub(r"(^|[-–—])\s*(?=\d+\s*([-–—]|$))", r"\1@", bars)


def _faults_of_tempo(plain: Values) -> Iterator[FormFault]:
    """Tempo plans whose numbers do not go together; no schema can say that."""
    for number, drill in enumerate(plain["drill"]):
        try:
            if isinstance(drill.get("tempo"), str):
                parse_tempo(drill["tempo"])
        except RequestError as fault:
            yield FormFault(("drill", number, "tempo"), False, fault.what, fault.next)


def _placed(found: FormFault, places: Places) -> Fault:
    place = places.of_key(found.path) if found.at_key else places.of_value(found.path)
    return Fault(*place, found.what, found.next)


def _text(content: bytes, name: str) -> str:
    """The file's letters, line ends as the standard reader has them."""
    if len(content) > LARGEST:
        what = f"this file is over {LARGEST // 1024} kilobytes, too long for an exercise"
        raise ExerciseError(name, [Fault(1, 1, what, "Put long scores in files next to it.")])
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


def _parsed(text: str, name: str) -> tuple[Values, Places]:
    try:
        places = places_of(text)
        _refuse_endless_numbers(places, name)
        return _as_json(tomllib.loads(text)), places
    except TooDeeplyNested as fault:
        place = Places(text).line_and_column(fault.args[0])
        what = "keys or values are nested too deeply here"
        raise ExerciseError(name, [Fault(*place, what, "An exercise has two levels.")]) from None
    except ValueError as fault:
        raise ExerciseError(name, [_of_syntax(str(fault), text)]) from None


def _refuse_endless_numbers(places: Places, name: str) -> None:
    """Before they are read: that takes long, and ends in advice for programmers."""
    faults = [
        Fault(
            *places.line_and_column(begin),
            f"this number goes on for {end - begin:,} characters",
            "Write the number that is meant.",
        )
        for begin, end in places.values.values()
        if end - begin > _LONGEST_NUMBER and places.text[begin] in "+-0123456789"
    ]
    if faults:
        raise ExerciseError(name, faults)


def _as_json(value: Any) -> Any:  # noqa: ANN401
    """The values as JSON has them: a date is its text, and what is not a number is nothing.

    So the program judges exactly what a JSON Schema would see.
    """
    if isinstance(value, dict):
        return {name: _as_json(inside) for name, inside in value.items()}
    if isinstance(value, list):
        return [_as_json(inside) for inside in value]
    if isinstance(value, date | time):
        return value.isoformat()
    return None if isinstance(value, float) and not isfinite(value) else value


def _of_syntax(said: str, text: str) -> Fault:
    """What the standard reader says, at its place."""
    if "set_int_max_str_digits" in said:  # where no place is known of it, as in a second `part`
        said = "A number in it is far too long"
    match = _PLACE.search(said)
    places = Places(text)
    if match is None or match[1] is None:
        line, column = places.line_and_column(len(text.rstrip()))
    else:
        line, column = int(match[1]), int(match[2])
    what = _PLACE.sub("", said).replace("'", "“", 1).replace("'", "”", 1)
    row = text.split("\n")[line - 1] if line <= text.count("\n") + 1 else ""
    return Fault(line, column, f"this is not TOML: {what[:1].lower()}{what[1:]}", _advice(row))


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


# From the values of a file whose form is good to an exercise, and back. A field is called as
# its key; what a file leaves out is at the default of the field.


def exercise_from(values: Values) -> Exercise:
    """An exercise from values that `form_faults` has nothing against."""
    drills = tuple(ExerciseDrill(**_fields(drill)) for drill in values["drill"])
    own = {key: value for key, value in values.items() if key not in ("format", "drill")}
    return Exercise(drills=drills, **_fields(own))


def _fields(values: Values) -> Values:
    return {_field(key): _FROM_VALUE.get(key, str)(value) for key, value in values.items()}


def _field(key: str) -> str:
    return "whom" if key == "for" else key.replace("-", "_")


def _name_or_number(value: float | str) -> str:
    return value.strip() if isinstance(value, str) else str(int(value))


def _as_written(value: float) -> Fraction:
    """72.1 is 721/10, whatever the machine makes of it."""
    return Fraction(repr(value))


def _tempo(value: float | str) -> TempoPlan:
    return parse_tempo(value) if isinstance(value, str) else Fixed(_as_written(value))


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _goal(values: Values) -> DrillGoal:
    tempo = _as_written(values["tempo"]) if "tempo" in values else None
    return DrillGoal(**{**_fields(values), "tempo": tempo})


_FROM_VALUE: dict[str, Callable[[Any], object]] = {
    **dict.fromkeys(("title", "for", "instructions", "listen"), str.strip),
    **dict.fromkeys(("level", "count-in", "repeat", "seed", "times", "days"), int),
    **dict.fromkeys(("part", "bars"), _name_or_number),
    **dict.fromkeys(("silences", "fades", "shows"), _words),
    "due": date.fromisoformat,
    "tempo": _tempo,
    "layers": parse_layers,
    "goal": _goal,
    "outcome": Outcome,
}


def write_exercise_text(exercise: Exercise) -> str:
    """The TOML a teacher would have written by hand: what is at its default is left out."""
    lines = [f"format = {FORMAT}", *_lines(exercise, Exercise(title="", drills=()), EXERCISE)]
    for drill in exercise.drills:
        lines += ["", "[[drill]]", *_lines(drill, ExerciseDrill(), DRILL)]
    return "\n".join(lines) + "\n"


def _lines(said: object, default: object, table: Schema) -> Iterator[str]:
    """`key = value` in the order of the page."""
    for key in table["properties"]:
        value = getattr(said, _field(key), None)
        if value != getattr(default, _field(key), None):
            is_number = key == "part" and re.fullmatch("[1-9][0-9]?", str(value))
            yield f"{key} = {value if is_number else _toml(value)}"


def _toml(value: object) -> str:
    """A field's value as TOML; a text over several lines if it has several."""
    match value:
        case DrillGoal():
            return f"{{ {', '.join(_lines(value, DrillGoal(), GOAL))} }}"
        case Fixed():
            return _toml(value.bpm)
        case Ladder() | Ramp() | Turns() | Marked():
            return _toml(tempo_in_words(value))
        case tuple():
            return _toml(", ".join(value))
        case Fraction():  # what no decimal can say is rounded to thousandths
            return str(value) if value.denominator == 1 else repr(round(float(value), 3))
        case str():
            text = "".join(map(_escaped, value))
            return f'"""\n{text}"""' if "\n" in text else f'"{text}"'
        case date():
            return value.isoformat()
        case _:
            return str(value)


_ESCAPES = {"\b": "\\b", "\t": "\\t", "\f": "\\f", "\r": "\\r", "\\": "\\\\", '"': '\\"'}


def _escaped(letter: str) -> str:
    if letter in _ESCAPES:
        return _ESCAPES[letter]
    is_control = letter != "\n" and (ord(letter) < 32 or ord(letter) == 127)
    return f"\\u{ord(letter):04x}" if is_control else letter

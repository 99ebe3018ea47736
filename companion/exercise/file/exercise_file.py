"""Exercise files, read and written.

Whatever the bytes are, what comes out is an exercise or an `ExerciseError`: a file written
by hand comes in every state, and one that came by mail may have been made to hurt.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time
from fractions import Fraction
from math import isfinite
from typing import Any

from companion.click.plan.layers import DEFAULT
from companion.click.plan.tempo_plan import Fixed, TempoPlan, told
from companion.click.words.layer_words import parse_layers
from companion.click.words.tempo_words import parse_tempo
from companion.errors import RequestError
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.exercise.file.exercise_schema import FORMAT
from companion.exercise.file.faults import ExerciseError, Fault, FormFault, form_faults
from companion.exercise.file.toml_places import Path, Places, TooDeeplyNested, places_of
from companion.practice.attempt import Outcome

Values = dict[str, Any]
"""A file's values by key, as JSON has them."""

LARGEST = 256 * 1024
"""Bytes of an exercise file at most."""

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
    return ExerciseFile(exercise_from(plain), places, name)


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


def _parsed(text: str, name: str) -> tuple[Values, Places]:
    try:
        places = places_of(text)
        return _as_json(tomllib.loads(text)), places
    except TooDeeplyNested as fault:
        place = Places(text).line_and_column(fault.args[0])
        what = "keys or values are nested too deeply here"
        raise ExerciseError(name, [Fault(*place, what, "An exercise has two levels.")]) from None
    except ValueError as fault:
        raise ExerciseError(name, [_of_syntax(str(fault), text)]) from None


def _as_json(value: Any) -> Any:  # noqa: ANN401
    """The values as JSON has them: a date is its text, and what is no number is nothing.

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


# From the plain values of a file whose form is good to an exercise, and back.


def exercise_from(plain: Values) -> Exercise:
    """An exercise from values that `form_faults` has nothing against."""
    return Exercise(
        title=plain["title"].strip(),
        drills=tuple(_drill_from(drill) for drill in plain["drill"]),
        whom=plain.get("for", "").strip(),
        due=date.fromisoformat(plain["due"]) if "due" in plain else None,
        level=int(plain["level"]) if "level" in plain else None,
        instructions=plain.get("instructions", "").strip(),
    )


def _drill_from(plain: Values) -> ExerciseDrill:
    return ExerciseDrill(
        title=plain.get("title", "").strip(),
        pattern=plain.get("pattern", ""),
        score=plain.get("score", ""),
        abc=plain.get("abc", ""),
        key=plain.get("key", ""),
        part=_named(plain.get("part", 1)),
        bars=_named(plain.get("bars", "")),
        tempo=_tempo(plain.get("tempo")),
        layers=parse_layers(plain["layers"]) if "layers" in plain else tuple(DEFAULT),
        count_in=int(plain.get("count-in", 1)),
        repeat=int(plain["repeat"]) if "repeat" in plain else None,
        silences=_words(plain.get("silences", "")),
        fades=_words(plain.get("fades", "")),
        seed=int(plain.get("seed", 0)),
        goal=_goal(plain.get("goal", {})),
        listen=plain.get("listen", "").strip(),
        shows=_words(plain.get("shows", "")),
    )


def _named(value: float | str) -> str:
    return value.strip() if isinstance(value, str) else str(int(value))


def _exact(value: float) -> Fraction:
    """A number as it is written: 72.1 is 721/10, whatever the machine makes of it."""
    return Fraction(repr(value))


def _tempo(value: float | str | None) -> TempoPlan | None:
    if value is None:
        return None
    return parse_tempo(value) if isinstance(value, str) else Fixed(_exact(value))


def _words(text: str) -> tuple[str, ...]:
    """The words of a text that joins them by commas."""
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _goal(plain: Values) -> DrillGoal:
    return DrillGoal(
        _exact(plain["tempo"]) if "tempo" in plain else None,
        Outcome(plain.get("outcome", Outcome.HELD)),
        int(plain.get("times", 1)),
        int(plain.get("days", 1)),
    )


def write_exercise_text(exercise: Exercise) -> str:
    """The TOML a teacher would have written by hand: what is at its default is left out."""
    head = {
        "title": exercise.title,
        "for": exercise.whom,
        "due": exercise.due,
        "level": exercise.level,
        "instructions": exercise.instructions,
    }
    lines = [f"format = {FORMAT}", *_lines(head, {"for": "", "instructions": ""})]
    for drill in exercise.drills:
        lines += ["", "[[drill]]", *_lines(_drill_values(drill), _drill_values(ExerciseDrill()))]
    return "\n".join(lines) + "\n"


def _lines(values: Values, defaults: Values) -> list[str]:
    return [
        f"{key} = {_toml(value)}"
        for key, value in values.items()
        if value is not None and value != defaults.get(key)
    ]


def _drill_values(drill: ExerciseDrill) -> Values:
    """Every key of a drill, in the order of the page."""
    return {
        "title": drill.title,
        "pattern": drill.pattern,
        "score": drill.score,
        "abc": drill.abc,
        "key": drill.key,
        "part": int(drill.part) if re.fullmatch("[1-9][0-9]?", drill.part) else drill.part,
        "bars": drill.bars,
        "tempo": _tempo_value(drill.tempo),
        "layers": ", ".join(drill.layers),
        "count-in": drill.count_in,
        "repeat": drill.repeat,
        "silences": ", ".join(drill.silences),
        "fades": ", ".join(drill.fades),
        "seed": drill.seed,
        "goal": _goal_values(drill.goal),
        "listen": drill.listen,
        "shows": ", ".join(drill.shows),
    }


def _tempo_value(tempo: TempoPlan | None) -> float | str | None:
    if tempo is None:
        return None
    return _decimal(tempo.bpm) if isinstance(tempo, Fixed) else told(tempo)


def _decimal(value: Fraction) -> float:
    """As it was read, `72` or `72.5`; what no decimal can say is rounded to thousandths."""
    return int(value) if value.denominator == 1 else round(float(value), 3)


def _goal_values(goal: DrillGoal) -> Values:
    said: Values = {} if goal.tempo is None else {"tempo": _decimal(goal.tempo)}
    if goal.outcome is not Outcome.HELD:
        said["outcome"] = goal.outcome.value
    return said | {key: n for key, n in (("times", goal.times), ("days", goal.days)) if n != 1}


def _toml(value: object) -> str:
    """A value as TOML, a text over several lines if it has several."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_toml(inside)}' for key, inside in value.items())} }}"
    if isinstance(value, str):
        text = "".join(map(_escaped, value))
        return f'"""\n{text}"""' if "\n" in text else f'"{text}"'
    return value.isoformat() if isinstance(value, date) else repr(value)


_ESCAPES = {"\b": "\\b", "\t": "\\t", "\f": "\\f", "\r": "\\r", "\\": "\\\\", '"': '\\"'}


def _escaped(letter: str) -> str:
    if letter in _ESCAPES:
        return _ESCAPES[letter]
    is_control = letter != "\n" and (ord(letter) < 32 or ord(letter) == 127)
    return f"\\u{ord(letter):04x}" if is_control else letter

"""An exercise as the TOML text a teacher would have written by hand."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from companion.click.plan.layers import DEFAULT
from companion.click.plan.tempo_plan import Fixed, TempoPlan, told
from companion.exercise.file.exercise import Aim, Exercise, ExerciseDrill
from companion.exercise.file.key_table import FORMAT
from companion.practice.attempt import Outcome

_SHORT = {"\b": "\\b", "\t": "\\t", "\f": "\\f", "\r": "\\r", "\\": "\\\\", '"': '\\"'}


def toml_of(exercise: Exercise) -> str:
    """The file's text; what stands at its default is left out."""
    return "\n".join(_lines(exercise)) + "\n"


def _lines(exercise: Exercise) -> Iterator[str]:
    yield f"format = {FORMAT}"
    yield f"title = {_text(exercise.title)}"
    if exercise.whom:
        yield f"for = {_text(exercise.whom)}"
    if exercise.due is not None:
        yield f"due = {exercise.due.isoformat()}"
    if exercise.level is not None:
        yield f"level = {exercise.level}"
    if exercise.instructions:
        yield f"instructions = {_text(exercise.instructions)}"
    for drill in exercise.drills:
        yield ""
        yield "[[drill]]"
        yield from _drill(drill)


def _drill(drill: ExerciseDrill) -> Iterator[str]:
    for key, value in _pairs(drill):
        if value:
            yield f"{key} = {value}"


def _pairs(drill: ExerciseDrill) -> Iterator[tuple[str, str]]:
    """Every key with its value as TOML, in the order of the page; nothing for a default."""
    for key in ("title", "pattern", "score", "abc", "key"):
        yield key, _text(getattr(drill, key))
    yield "part", "" if drill.part == "1" else _part(drill.part)
    yield "bars", _text(drill.bars)
    yield "tempo", _tempo(drill.tempo) if drill.tempo else ""
    yield "layers", "" if drill.layers == tuple(DEFAULT) else _text(", ".join(drill.layers))
    yield "count-in", "" if drill.count_in == 1 else str(drill.count_in)
    yield "repeat", str(drill.repeat or "")
    yield "silences", _text(", ".join(drill.silences))
    yield "fades", _text(", ".join(drill.fades))
    yield "seed", str(drill.seed or "")
    yield "goal", "" if drill.aim == Aim() else f"{{ {', '.join(_aim(drill.aim))} }}"
    yield "listen", _text(drill.listen)
    yield "shows", _text(", ".join(drill.shows))


def _part(part: str) -> str:
    return part if re.fullmatch("[1-9][0-9]?", part) else _text(part)


def _tempo(tempo: TempoPlan) -> str:
    return _number(tempo.bpm) if isinstance(tempo, Fixed) else _text(told(tempo))


def _number(value: Fraction) -> str:
    """As it was read, `72` or `72.5`; what no decimal can say is rounded to thousandths."""
    return str(value) if value.denominator == 1 else repr(round(float(value), 3))


def _aim(aim: Aim) -> Iterator[str]:
    if aim.tempo is not None:
        yield f"tempo = {_number(aim.tempo)}"
    if aim.outcome is not Outcome.HELD:
        yield f"outcome = {_text(aim.outcome.value)}"
    if aim.times != 1:
        yield f"times = {aim.times}"
    if aim.days != 1:
        yield f"days = {aim.days}"


def _text(text: str) -> str:
    """A text in quotes, over several lines where it has several; nothing for none."""
    if not text:
        return ""
    if "\n" in text:
        return f'"""\n{_escaped(text)}"""'
    return f'"{_escaped(text)}"'


def _escaped(text: str) -> str:
    pieces = (
        letter
        if letter == "\n"
        else _SHORT.get(letter)
        or (f"\\u{ord(letter):04x}" if ord(letter) < 32 or ord(letter) == 127 else letter)
        for letter in text
    )
    return "".join(pieces)

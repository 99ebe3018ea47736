"""The JSON Schema and the program accept and refuse the same files.

Source: the `jsonschema` library, draft 2020-12, as the judge of the schema. Only the form
is in question; what the notes say is no matter of a schema.
"""

from __future__ import annotations

import json
import re
from datetime import date, datetime, time
from importlib import import_module
from pathlib import PurePosixPath, PureWindowsPath
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.words.layer_words import parse_fade, parse_layers, parse_silence
from companion.click.words.tempo_words import parse_tempo
from companion.errors import RequestError
from companion.exercise.file.exercise_file import read_exercise
from companion.exercise.file.exercise_schema import (
    DRILL,
    END,
    EXERCISE,
    FADE,
    GOAL,
    KEY_NAME,
    LAYER,
    PLAIN_PATH,
    PUBLISHED,
    SILENCE,
    TEMPO_PLAN,
    schema_text,
)
from companion.exercise.file.faults import ExerciseError
from companion.exercise.pattern.tonality import tonality

JUDGE = import_module("jsonschema")  # no types are published with it
SCHEMA = JUDGE.Draft202012Validator(
    json.loads(PUBLISHED.read_text("utf-8")), format_checker=JUDGE.FormatChecker()
)


def test_the_published_schema_is_the_one_the_reader_goes_by() -> None:
    assert PUBLISHED.read_text("utf-8") == schema_text(), (
        "write it anew: python -m companion.exercise.file.exercise_schema"
    )
    JUDGE.Draft202012Validator.check_schema(SCHEMA.schema)


def as_toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return f"[{', '.join(map(as_toml, value))}]"
    if isinstance(value, dict):
        pairs = ", ".join(f"{as_toml(name)} = {as_toml(one)}" for name, one in value.items())
        return f"{{{pairs}}}"
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    return str(value)


def as_json(value: object) -> object:
    """A TOML value as JSON has it: dates as their text; what is no number it has not."""
    if isinstance(value, dict):
        return {name: as_json(one) for name, one in value.items()}
    if isinstance(value, list):
        return [as_json(one) for one in value]
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    return None if value in (float("inf"), float("-inf")) or value != value else value


def program_accepts(plain: dict[str, Any]) -> bool:
    text = "\n".join(f"{as_toml(name)} = {as_toml(value)}" for name, value in plain.items())
    try:
        read_exercise(text.encode(), "x")
    except ExerciseError as error:
        assert not any("TOML" in fault.what for fault in error.faults), text
        return False
    return True


def agree(plain: dict[str, Any]) -> bool:
    """Whether both accept it; fails where they do not agree."""
    by_schema: bool = SCHEMA.is_valid(as_json(plain))
    assert program_accepts(plain) == by_schema, plain
    return by_schema


GOOD: dict[str, Any] = {
    "format": 1,
    "title": "A study",
    "for": "Thursday",
    "due": date(2026, 5, 3),
    "level": 3,
    "instructions": "Slowly.",
    "drill": [
        {
            "title": "first",
            "pattern": "2/4 h",
            "key": "D",
            "part": 1,
            "bars": "1-1",
            "tempo": "60 to 90 by 4, twice each, else back one",
            "layers": "beat, theirs",
            "count-in": 1,
            "repeat": 2,
            "silences": "every 4, growing",
            "seed": 4,
            "fades": "theirs out over 4",
            "goal": {"tempo": 80, "outcome": "held", "times": 2, "days": 2},
            "listen": "to the others",
            "shows": "3:2 in the beat, hemiola",
        },
        {"score": "scores/quartet.musicxml", "tempo": 60.5},
        {"abc": "K:D\nD4"},
    ],
}

ANYTHING: list[Any] = [
    *(-1, 0, 1, 2, 9, 10, 16, 17, 60, 99, 100, 400, 401, 999, 1000, 2**31, 2**31 + 1, 10**30),
    *(1.0, 2.5, 9.99, 10.0, 400.0, 400.5, float("nan"), float("inf"), -0.0, True, False),
    *("", " ", "\n", "\u00a0", "x", "x" * 200, "x" * 201, "x" * 2001, "beat", "1", "60"),
    *("D", "d", "Bb", "H", "Fb", "Cb", "G# minor", "G# major", "D  minor", "D\n", "F# minor"),
    *("2026-05-03", "2026-02-29", "2024-02-29", "20260503", "0000-01-01", "2026-05-03\n"),
    *(date(2026, 5, 3), datetime(2026, 5, 3, 10), time(10)),
    *("a.xml", "a/b.xml", "../a.xml", "a/../b", "/a", "a//b", "a/", "a\\b", "c:a", ".", "..", ".a"),
    *("CON", "con.xml", "a/nul", "console", "a.", "a ", "a\n", "COM1.musicxml", "é.xml", "a\x7f"),
    *("beat,theirs", "beat,  theirs", "beat theirs", "beat,", "both", "rhythm:", "rhythm:Cello"),
    *("60 to 90", "60 to 90 over 8 times", "60 and 90", "as marked", "80%", "9%", "60 to 90 by 0"),
    *("every 4", "every 1", "every 3rd", "growing to 4 beats", "random 20%", "mine only", "mine"),
    *("theirs out over 4", "theirs over 4", "rhythm:Cello in over 12 times", "beat out over 0"),
    *("3:2 in the beat", "17:2 in the beat", "1:2 in the bar", "hemiola", "Hemiola", "beat = beat"),
    *("held", "secure", "hold", ["beat"], [], {}, {"tempo": 60}, {"days": 0}, {"x": 1}, [{}]),
]

NAMES = sorted(
    {key for table in (EXERCISE, DRILL, GOAL) for key in table["properties"]} | {"x", "Tempo"}
)


def test_a_good_file_is_accepted_by_both() -> None:
    assert agree(GOOD)
    assert agree({"format": 1, "title": "x", "drill": [{"pattern": "2/4 h"}]})


@pytest.mark.parametrize("name", NAMES)
def test_every_key_with_every_value_is_judged_alike(name: str) -> None:
    first, second, third = GOOD["drill"]
    for value in ANYTHING:
        if name in EXERCISE["properties"] or name == "x":
            agree({**GOOD, name: value})
        if name in GOAL["properties"] or name == "x":
            agree({**GOOD, "drill": [{**third, "goal": {name: value}}]})
        if name in DRILL["properties"] or name == "Tempo":
            agree({**GOOD, "drill": [{**first, name: value}]})
            agree({**GOOD, "drill": [third, {**second, name: value}]})


@given(
    dropped=st.sets(st.sampled_from(NAMES), max_size=4),
    added=st.dictionaries(st.sampled_from(NAMES), st.sampled_from(ANYTHING), max_size=2),
    in_drill=st.dictionaries(st.sampled_from(NAMES), st.sampled_from(ANYTHING), max_size=2),
    in_goal=st.dictionaries(st.sampled_from(NAMES), st.sampled_from(ANYTHING), max_size=2),
    which=st.integers(0, 2),
)
@settings(max_examples=300, deadline=None)
def test_any_file_is_judged_alike(
    dropped: set[str],
    added: dict[str, Any],
    in_drill: dict[str, Any],
    in_goal: dict[str, Any],
    which: int,
) -> None:
    drill = {name: v for name, v in GOOD["drill"][which].items() if name not in dropped}
    if in_goal:
        drill["goal"] = in_goal
    plain = {name: v for name, v in GOOD.items() if name not in dropped}
    agree({**plain, "drill": [{**drill, **in_drill}], **added})


@given(st.data())
@settings(max_examples=200, deadline=None)
def test_what_has_the_shape_of_words_is_judged_alike(data: st.DataObject) -> None:
    key = data.draw(st.sampled_from(["layers", "silences", "fades", "shows", "key", "score"]))
    shape = DRILL["properties"][key]["pattern"]
    text = data.draw(st.from_regex(re.compile(shape, re.A)))
    at = data.draw(st.integers(0, len(text)))
    spoilt = text[:at] + data.draw(st.sampled_from(["", " ", ",", "/", "\n", "é", "4"])) + text[at:]
    for value in (text, spoilt):
        first, second, _ = GOOD["drill"]
        agree({**GOOD, "drill": [{**(second if key == "score" else first), key: value}]})


def of_shape(shape: str) -> st.SearchStrategy[str]:
    return st.from_regex(re.compile(rf"^(?:{shape}){END}", re.A))


@given(of_shape(TEMPO_PLAN[1:]))
@settings(deadline=None)
def test_every_tempo_plan_of_that_shape_can_be_read(text: str) -> None:
    try:
        parse_tempo(text)
    except RequestError as fault:
        assert "is not a tempo plan" not in fault.what and "outside" not in fault.what


@given(of_shape(LAYER))
@settings(deadline=None)
def test_every_layer_of_that_shape_can_be_read(text: str) -> None:
    assert parse_layers(text)


@given(of_shape(SILENCE))
@settings(deadline=None)
def test_every_silence_of_that_shape_can_be_read(text: str) -> None:
    assert parse_silence(text)


@given(of_shape(FADE))
@settings(deadline=None)
def test_every_fade_of_that_shape_can_be_read(text: str) -> None:
    assert parse_fade(text)


@given(of_shape(KEY_NAME[1:]))
@settings(deadline=None)
def test_every_key_of_that_shape_has_a_signature(text: str) -> None:
    assert abs(tonality(text).fifths) <= 7


@given(st.text(alphabet="aB.. /\\:*\x00CONnul1", max_size=12))
@settings(deadline=None)
def test_a_plain_path_stays_in_its_folder(text: str) -> None:
    if re.search(PLAIN_PATH, text):
        for path in (PurePosixPath(text), PureWindowsPath(text)):
            assert not path.is_absolute() and ".." not in path.parts and not path.drive
        assert not PureWindowsPath(text).is_reserved()

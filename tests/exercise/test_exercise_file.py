"""The reader answers whatever comes: an exercise, or faults with places inside the file."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.tempo_plan import Fixed, Ladder, Marked, Ramp, Turns
from companion.exercise.file.exercise import DrillGoal, Exercise, ExerciseDrill
from companion.exercise.file.exercise_file import read_exercise, write_exercise_text
from companion.exercise.file.faults import ExerciseError
from companion.practice.attempt import Outcome

FOUR_LINES = 'format = 3\ntitle = "Three over two"\n[[drill]]\npattern = "2/4 e3*3 q | h"\n'


def read(text: str) -> Exercise:
    return read_exercise(text.encode(), "x").exercise


def test_four_lines_are_an_exercise_with_sensible_defaults() -> None:
    (drill,) = read(FOUR_LINES).drills
    assert drill == ExerciseDrill(pattern="2/4 e3*3 q | h")
    assert (drill.part, drill.bars, drill.tempo, drill.count_in) == ("1", "", None, 1)
    assert drill.layers == ("beat", "mine", "theirs")
    assert drill.goal == DrillGoal(None, Outcome.HELD, 1, 1)


@pytest.mark.parametrize(
    ("written", "tempo"),
    [
        ("72", Fixed(Fraction(72))),
        ("72.1", Fixed(Fraction(721, 10))),
        ('"72.5"', Fixed(Fraction(145, 2))),
        ('"60 to 96 by 4"', Ladder(Fraction(60), Fraction(96), Fraction(4))),
        ('"60 to 96 over 8 times"', Ramp(Fraction(60), Fraction(96), 8)),
        ('"60 and 90, twice each"', Turns(Fraction(60), Fraction(90), 2)),
        ('"80%"', Marked(Fraction(4, 5))),
    ],
)
def test_a_tempo_is_a_number_or_a_plan(written: str, tempo: object) -> None:
    assert read(f"{FOUR_LINES}tempo = {written}\n").drills[0].tempo == tempo


def test_a_day_may_stand_with_quotes_or_without() -> None:
    for written in ("2026-05-03", '"2026-05-03"'):
        assert read(f"due = {written}\n{FOUR_LINES}").due == date(2026, 5, 3)


def test_what_a_drill_is_called_follows_from_both_titles() -> None:
    two = read(FOUR_LINES + '[[drill]]\ntitle = "slowly"\npattern = "2/4 h"\n')
    assert read(FOUR_LINES).named(1) == "Three over two"
    assert [two.named(1), two.named(2)] == ["Three over two 1", "Three over two: slowly"]


WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20).filter(str.strip)
TEMPOS = st.sampled_from(
    [
        None,
        Fixed(Fraction(145, 2)),
        Ladder(Fraction(60), Fraction(96), Fraction(4), 2),
        Ramp(Fraction(60), Fraction(90), 8),
        Turns(Fraction(60), Fraction(90), 2),
        Marked(Fraction(4, 5)),
        Marked(),
    ]
)
SOURCES = (
    st.builds(lambda text: {"pattern": text, "key": "D"}, WORDS)
    | st.just({"score": "scores/quartet.musicxml"})
    | st.builds(lambda text: {"abc": text}, WORDS)
)
GOALS = st.builds(
    DrillGoal,
    st.none() | st.integers(10, 400).map(Fraction),
    st.sampled_from(Outcome),
    st.integers(1, 999),
    st.integers(1, 60),
)


@st.composite
def drills(draw: st.DrawFn) -> ExerciseDrill:
    source: dict[str, Any] = draw(SOURCES)
    return ExerciseDrill(
        title=draw(WORDS).strip(),
        **source,
        part=draw(st.sampled_from(["1", "2", "Viola", "Violin “I”"])),
        bars=draw(st.sampled_from(["", "9-16", "5", "II:3-4"])),
        tempo=draw(TEMPOS),
        layers=draw(st.sampled_from([("beat", "mine", "theirs"), ("beat", "rhythm:Cello")])),
        count_in=draw(st.integers(0, 16)),
        repeat=draw(st.none() | st.integers(1, 999)),
        silences=draw(st.sampled_from([("growing",), ("every 4", "theirs only")])),
        fades=draw(st.sampled_from([(), ("theirs out over 4",)])),
        seed=draw(st.integers(0, 99)),
        goal=draw(GOALS),
        listen=draw(st.just("") | WORDS).strip(),
        shows=draw(st.sampled_from([(), ("3:2 in the beat", "hemiola")])),
    )


@given(
    st.builds(
        Exercise,
        title=WORDS.map(str.strip),
        drills=st.lists(drills(), min_size=1, max_size=3).map(tuple),
        whom=(st.just("") | WORDS).map(str.strip),
        due=st.none() | st.dates(date(1900, 1, 1)),
        level=st.none() | st.integers(1, 9),
        instructions=(st.just("") | WORDS).map(str.strip),
    )
)
@settings(deadline=None)
def test_what_is_written_is_read_back(exercise: Exercise) -> None:
    assert read(write_exercise_text(exercise)) == exercise


def answered(content: bytes) -> None:
    try:
        read_exercise(content, "x")
    except ExerciseError as error:
        rows = content.decode("utf-8", "replace").split("\n")
        assert error.faults and error.lines()
        for fault in error.faults:
            assert 1 <= fault.line <= len(rows) + 1 and fault.column >= 1
            assert "\n" not in fault.sentence()


@given(st.binary(max_size=200))
@settings(deadline=None)
def test_any_bytes_are_answered(content: bytes) -> None:
    answered(content)


@given(st.text(alphabet="format=1\ntile\"'[]{}dr.#,:\\ \t\r\x00é“", max_size=120))
@settings(deadline=None)
def test_any_text_is_answered(text: str) -> None:
    answered(text.encode())


@given(
    st.integers(0, len(FOUR_LINES)),
    st.integers(0, 10),
    st.text(alphabet="\"'[]{}=\n#.,\\ax1é", max_size=6),
)
@settings(deadline=None)
def test_any_spoilt_exercise_is_answered(at: int, gone: int, added: str) -> None:
    answered((FOUR_LINES[:at] + added + FOUR_LINES[at + gone :]).encode())


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ('"14-21"', "@14-@21"),
        ('"14 – 21"', "@14 –@21"),
        ("5", "@5"),
        ('"II:225-230"', "II:225-230"),
        ('"C-C+3"', "C-C+3"),
        ('"C-30"', "C-@30"),
        ('"9-C"', "@9-C"),
        ('"2b"', "2b"),
    ],
)
def test_in_format_1_plain_numbers_are_places_and_in_format_2_printed(
    written: str, meant: str
) -> None:
    text = f'title = "x"\n[[drill]]\nscore = "a.xml"\nbars = {written}\n'
    for form, bars in ((1, meant), (2, written.strip('"'))):
        exercise = read_exercise(f"format = {form}\n{text}".encode(), "x").exercise
        assert exercise.drills[0].bars == bars
        again = read_exercise(write_exercise_text(exercise).encode(), "x").exercise
        assert again == exercise

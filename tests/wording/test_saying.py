"""How sentences for players are put together. Trade words: common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

from companion.wording.phrases import (
    bar_spans,
    counted,
    figures_listed,
    interval,
    listed,
    parts_listed,
    sentence,
    values,
)
from tests.findings.ensembles import bar_name


def test_lists_are_read_like_speech() -> None:
    assert [listed(words) for words in (["a"], ["a", "b"], ["a", "b", "c"])] == [
        "a",
        "a and b",
        "a, b and c",
    ]
    assert parts_listed(["P1", "P3"], {"P1": "Violin I"}, me="P3") == "you and Violin I"


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (1, "1 beat"),
        (12, "12 beats"),
        (Fraction(5, 2), "2 1/2 beats"),
        (Fraction(1, 3), "1/3 beat"),
    ],
)
def test_numbers_of_beats(number: int | Fraction, said: str) -> None:
    assert counted(number, "beat") == said
    assert said.startswith(figures_listed(number))


@pytest.mark.parametrize(
    ("length", "said"),
    [
        (Fraction(1, 2), "eighths"),
        (Fraction(3, 2), "dotted quarters"),
        (Fraction(1, 3), "eighth triplets"),
        (Fraction(1, 6), "16th triplets"),
        (Fraction(1, 5), "notes of 1/5 of a quarter"),
    ],
)
def test_note_values(length: Fraction, said: str) -> None:
    assert values(length) == said


@pytest.mark.parametrize(
    ("semitones", "said"),
    [
        (7, "a fifth higher"),
        (-5, "a fourth lower"),
        (-12, "an octave lower"),
        (24, "2 octaves higher"),
        (19, "an octave and a fifth higher"),
    ],
)
def test_intervals(semitones: int, said: str) -> None:
    assert interval(semitones) == said


def test_neighbouring_bars_are_one_span() -> None:
    assert bar_spans([9, 3, 4, 5], bar_name) == "bars 3–5 and 9"


def test_a_sentence_has_a_capital_and_one_full_stop() -> None:
    assert sentence("bar 3: you begin.") == "Bar 3: you begin."

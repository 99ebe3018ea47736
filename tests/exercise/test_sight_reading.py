"""Composed reading exercises: in range, in key, with the ratio, ending at home.

Open strings and first position, circle of fifths, cadence: common practice, no source. The
ratio is counted by what music21 reads, against the published resultants (`heard.py`).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.errors import RequestError
from companion.exercise.drill_on_score import made_score
from companion.exercise.file.exercise_file import read_exercise, write_exercise_text
from companion.exercise.pattern.notation import read_pattern_note
from companion.exercise.pattern.pattern import read_pattern
from companion.exercise.sight_reading import Order, compose
from companion.exercise.sight_reading_line import SeededChance, equal_notes, held
from companion.rhythm.meter import parse
from tests.exercise.heard import RESULTANTS, has_ratio, heard, pitches

RATIOS = [ratio for pair in RESULTANTS for ratio in (pair, pair[::-1])]
RANGES = {"violin": (55, 83), "viola": (48, 76), "cello": (36, 64)}
KEYS = ["C", "D", "Bb", "E", "Ab", "A minor", "F# minor", "C minor", "G minor"]
METERS = ["2/4", "3/4", "4/4", "6/8", "9/8", "12/8", "2/2"]
TONICS = {"C": 0, "D": 2, "Bb": 10, "E": 4, "Ab": 8, "A": 9, "F#": 6, "G": 7}

ORDERS = st.builds(
    lambda ratio, **rest: Order(*ratio, **rest),
    st.sampled_from(RATIOS),
    meter=st.sampled_from(METERS),
    bars=st.integers(3, 12),
    seed=st.integers(0, 10**6),
    instrument=st.sampled_from(sorted(RANGES)),
    key=st.sampled_from(KEYS),
)


@given(ORDERS)
@settings(max_examples=40, deadline=None)
def test_it_is_in_range_has_the_ratio_and_ends_on_the_tonic(order: Order) -> None:
    exercise = compose(order)
    score = made_score(exercise.drills[0], exercise.title)
    mine, theirs = heard(score)
    sounding, clapped = pitches(score)
    low, high = RANGES[order.instrument]
    assert len(mine) == len(theirs) == order.bars
    assert all(low <= pitch <= high for pitch in sounding) and not clapped
    assert has_ratio(mine, theirs, order.mine, order.theirs, "beat")
    assert sounding[-1] % 12 == TONICS[order.key.split()[0]]
    assert list(mine[-1].onsets) == [0]


@given(ORDERS)
@settings(max_examples=40, deadline=None)
def test_it_moves_by_step_and_leads_home_by_step(order: Order) -> None:
    line = read_pattern(compose(order).drills[0].pattern)[0]
    letters = [
        "CDEFGAB".index(e.pitch[0]) + 7 * int(e.pitch[-1]) for b in line.bars for e in b.events
    ]
    moves = [abs(b - a) for a, b in zip(letters, letters[1:], strict=False)]
    before_last = len(letters) - len(line.bars[-1].events) - 1
    assert moves[before_last] == 1
    assert max(moves) <= 5 and sum(move <= 2 for move in moves) >= len(moves) - 1


@given(ORDERS)
@settings(max_examples=30, deadline=None)
def test_its_file_is_a_good_exercise_and_the_seed_decides(order: Order) -> None:
    text = write_exercise_text(compose(order))
    assert read_exercise(text.encode(), "x").exercise == compose(order)
    assert write_exercise_text(compose(order)) == text


@given(ORDERS)
@settings(max_examples=40, deadline=None)
def test_in_minor_the_step_below_the_end_is_raised(order: Order) -> None:
    *_, before, home = pitches(made_score(compose(order).drills[0], "x"))[0]
    if before < home:
        assert home - before == 1


def test_another_seed_gives_other_music() -> None:
    made = {compose(Order(3, 2, "6/8", seed=seed)).drills[0].pattern for seed in range(20)}
    assert len(made) == 20


def test_a_seed_will_mean_the_same_next_year() -> None:
    """Held here, because a teacher may send the order instead of the file."""
    assert compose(Order(3, 2, "6/8", 4, 7, "viola", "D")).drills[0].pattern == KEPT


KEPT = """\
viola: 6/8 D4e B3e A3e F#3e D3e C#3e | D3e C#3q D3e E3e G3e | A3e G3e B3e A3e B3e C#4e | D4h.
clap:  6/8 e.*4                      | %                    | %                         | h.
"""


@pytest.mark.parametrize(
    ("ratio", "meter"), [((4, 3), "3/4"), ((3, 2), "6/8"), ((2, 3), "3/4"), ((5, 4), "4/4")]
)
def test_the_ratio_may_lie_in_the_bar(ratio: tuple[int, int], meter: str) -> None:
    exercise = compose(Order(*ratio, meter, seed=3, span="bar"))
    mine, theirs = heard(made_score(exercise.drills[0], exercise.title))
    assert has_ratio(mine, theirs, *ratio, "bar")


@pytest.mark.parametrize(
    ("order", "told"),
    [
        (Order(4, 2, "6/8"), "there is no conflict"),
        (Order(3, 1, "6/8"), "not a ratio to read"),
        (Order(3, 2, "6/7x"), "not a meter"),
        (Order(3, 2, "3+2/8"), "unequal"),
        (Order(3, 2, "6/8", bars=2), "2 bars cannot be made"),
        (Order(3, 2, "6/8", instrument="tuba"), "no range here"),
        (Order(3, 2, "6/8", key="H"), "not a key"),
        (Order(3, 2, "6/8", span="page"), "is not divided here"),
        (Order(5, 3, "3/4", level=2), "not for level 2"),
        (Order(9, 8, "6/32"), "cannot be written"),
        (Order(4, 3, "6/8", span="bar"), "does not come out"),
    ],
)
def test_what_cannot_be_made_is_refused_in_a_sentence(order: Order, told: str) -> None:
    with pytest.raises(RequestError, match=told):
        compose(order)


@given(st.sampled_from(METERS), st.integers(2, 9))
@settings(deadline=None)
def test_equal_notes_fill_their_span_exactly(meter: str, count: int) -> None:
    for span in {parse(meter).beat, parse(meter).length}:
        try:
            word = equal_notes(span, count).word
        except RequestError:
            continue
        read = read_pattern_note(word)
        assert not isinstance(read, str) and read[0].length * count == span


@given(st.sampled_from([*METERS, "5/4", "7/4"]))
@settings(deadline=None)
def test_one_held_note_fills_a_bar(meter: str) -> None:
    words = held(parse(meter).length)
    events = [
        event for word in words for event in read_pattern_note(word) if not isinstance(event, str)
    ]
    assert sum((event.length for event in events), Fraction(0)) == parse(meter).length


def test_chance_draws_only_what_weighs_something() -> None:
    chance = SeededChance(1)
    drawn = {chance.one_of({"a": 1.0, "b": 0.0, "c": 2.0}) for _ in range(200)}
    assert drawn == {"a", "c"}

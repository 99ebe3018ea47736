"""Composed reading exercises: in range, in key, with the ratio, ending at home.

Open strings and first position, circle of fifths, cadence: common practice, no source. The
ratio is counted by what music21 reads, against the published resultants (`heard.py`).
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.tempo_plan import Ladder
from companion.errors import RequestError
from companion.exercise.drill_on_score import made_score
from companion.exercise.file.exercise_file import read_exercise, write_exercise_text
from companion.exercise.pattern.notation import read_pattern_note
from companion.exercise.pattern.pattern import read_pattern
from companion.exercise.sight_reading import Order, Reading, compose
from companion.exercise.sight_reading_line import SeededChance, equal_notes, held
from companion.rhythm.meter import parse
from tests.exercise.heard import RESULTANTS, has_ratio, heard, pitches

RATIOS = [ratio for pair in RESULTANTS for ratio in (pair, pair[::-1])]
RANGES = {"violin": (55, 83), "viola": (48, 76), "cello": (36, 64), "double bass": (28, 50)}
"""As they sound: from the lowest string to a fifth above the highest (W. Piston, Orchestration,
1955: the double bass is tuned E A D G in fourths and sounds an octave below what it reads)."""
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
clap:  6/8 e.*4                      | %                    | %                        | h.
"""


@pytest.mark.parametrize(
    ("ratio", "meter"), [((4, 3), "3/4"), ((3, 2), "6/8"), ((2, 3), "3/4"), ((5, 4), "4/4")]
)
def test_the_ratio_may_lie_in_the_bar(ratio: tuple[int, int], meter: str) -> None:
    exercise = compose(Order(*ratio, meter, seed=3, span="bar"))
    mine, theirs = heard(made_score(exercise.drills[0], exercise.title))
    assert has_ratio(mine, theirs, *ratio, "bar")


@given(st.integers(0, 10**6), st.integers(4, 16), st.sampled_from(KEYS))
@settings(max_examples=25, deadline=None)
def test_hemiolas_go_in_twos_across_two_bars_of_three(seed: int, bars: int, key: str) -> None:
    order = Order(3, 2, "3/4", bars, seed, "viola", key, reading=Reading.HEMIOLA)
    mine, theirs = heard(made_score(compose(order).drills[0], "x"))
    # Ties counted in by music21: heads two quarters apart, none on the barline between.
    beats = [[int(at) for at in bar.onsets] for bar in mine]
    pairs = [two == ([0, 2], [1]) for two in zip(beats, beats[1:], strict=False)]
    assert pairs[-2] and len(mine) == bars  # the last one leads to the end
    assert all(list(bar.onsets) == [0, 1, 2] for bar in theirs[:-1])
    for number, struck in enumerate(beats[:-1]):
        before = number > 0 and pairs[number - 1]
        assert pairs[number] or before or struck == [0, 1, 2]


@given(
    st.integers(0, 10**6),
    st.integers(4, 16),
    st.sampled_from(["2/4", "3/4", "4/4"]),
    st.sampled_from(KEYS),
)
@settings(max_examples=25, deadline=None)
def test_displaced_pulses_begin_half_a_beat_late_three_bars_or_more(
    seed: int, bars: int, meter: str, key: str
) -> None:
    order = Order(3, 2, meter, bars, seed, "cello", key, reading=Reading.DISPLACEMENT)
    mine, theirs = heard(made_score(compose(order).drills[0], "x"))
    beats = int(meter[0])
    late = [bar.onsets == tuple(Fraction(2 * beat + 1, 2) for beat in range(beats)) for bar in mine]
    on = [bar.onsets == tuple(range(beats)) for bar in mine]
    assert all(a != b for a, b in zip(late[:-1], on[:-1], strict=True))
    assert all(bar.onsets == tuple(range(beats)) for bar in theirs[:-1])
    runs = "".join("l" if one else "o" for one in late[:-1]).split("o")
    assert any(runs) and all(len(run) >= 3 for run in runs if run)


@given(ORDERS, st.integers(1, 9))
@settings(max_examples=40, deadline=None)
def test_no_hand_is_asked_for_more_notes_than_its_level_plays(order: Order, level: int) -> None:
    try:
        made = compose(replace(order, level=level))
    except RequestError as refused:
        assert "is not for level" in refused.what or "no hand plays" in refused.what
        return
    drill = made.drills[0]
    assert isinstance(drill.tempo, Ladder) and made.level == level
    assert 30 <= drill.tempo.start < drill.tempo.goal <= 120
    mine, _ = heard(made_score(drill, "x"))
    beat = parse(order.meter).beat
    for bar in mine[:-1]:
        gaps = [b - a for a, b in zip(bar.onsets, [*bar.onsets[1:], bar.quarters], strict=True)]
        for gap in gaps:  # quarters from note to note; the beat goes at the end of the ladder
            assert drill.tempo.goal / 60 * beat / gap <= (5 + level) / 2


def test_what_comes_again_is_written_once_and_barlines_stand_below_each_other() -> None:
    for reading in Reading:
        pattern = compose(Order(3, 2, "3/4", 8, 5, reading=reading)).drills[0].pattern
        first, second = pattern.splitlines()
        bars = [at for at, letter in enumerate(first) if letter == "|"]
        assert bars == [at for at, letter in enumerate(second) if letter == "|"]
        assert "%" in second and "*" in second


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
        (Order(3, 2, "4/4", reading=Reading.HEMIOLA), "has no hemiola"),
        (Order(3, 2, "6/8", reading=Reading.DISPLACEMENT), "no even half"),
        (Order(3, 2, "3/4", 3, reading=Reading.DISPLACEMENT), "too few"),
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

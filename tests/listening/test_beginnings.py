"""Known beginnings laid against the page: planted performances, made by hypothesis.

The pages are corpus parts; what was planted is the truth. No sound is needed here.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from companion.listening.due_notes import DueNote
from companion.listening.hearing import HeardTake, ListeningError
from tests.listening.beginnings import hear_beginnings
from tests.listening.performing import corpus_passage, due_of

PAGES: list[tuple[str, int, int, int, int]] = [
    ("haydn/opus74no1/movement1.mxl", 0, 3, 14, 60),
    ("mozart/k156/movement1.mxl", 1, 33, 62, 120),
    ("mozart/k458/movement1.mxl", 3, 60, 84, 76),
    ("beethoven/opus18no1/movement1.mxl", 2, 49, 70, 72),
]
SPREAD = 0.015
"""Seconds of jitter (standard deviation)."""


def page(number: int) -> tuple[DueNote, ...]:
    path, part, first, last, bpm = PAGES[number]
    return due_of(corpus_passage(path, part, first, last), bpm)


def apart(due: tuple[DueNote, ...], least: float) -> list[int]:
    """Notes with this much time before and after them, away from both ends: where neighbours
    are nearer than jitter is wide, nobody can say which of them is missing."""
    times = [float(note.seconds) for note in due]
    return [
        n
        for n in range(3, len(due) - 3)
        if min(times[n] - times[n - 1], times[n + 1] - times[n]) >= least
    ]


@given(
    number=st.integers(0, len(PAGES) - 1),
    seed=st.integers(0, 10_000),
    drift=st.floats(-0.06, 0.06),
    begins=st.floats(0.3, 20.0),
    faults=st.integers(0, 3),
)
@settings(max_examples=12)
def test_each_note_left_out_or_put_in_is_named(
    number: int, seed: int, drift: float, begins: float, faults: int
) -> None:
    due = page(number)
    chance = np.random.default_rng(seed)
    times = np.array([float(note.seconds) for note in due])
    free = [int(n) for n in chance.permutation(apart(due, 0.2))]
    dropped = sorted(free[:faults])
    doubled: list[int] = []
    for n in free[faults:]:
        near_fault = any(abs(n - other) < 4 for other in [*dropped, *doubled])
        if len(doubled) < faults and not near_fault and times[n + 1] - times[n] > 0.35:
            doubled.append(n)
    jitter = np.clip(chance.normal(0, SPREAD, len(due)), -2.5 * SPREAD, 2.5 * SPREAD)
    played = begins + times + drift * times**2 / (2 * times[-1]) + jitter
    stray = [float((played[n] + played[n + 1]) / 2) for n in doubled]
    kept = [n for n in range(len(due)) if n not in dropped]
    heard = hear_beginnings(due, [*played[kept].tolist(), *stray])

    missing = [n for n, note in enumerate(heard.notes) if note.begun_s is None]
    assert missing == dropped
    assert heard.added == pytest.approx(sorted(stray))
    assert mean_error(heard, played) < 0.001


def mean_error(heard: HeardTake, played: NDArray[np.float64]) -> float:
    pairs = zip(heard.notes, played, strict=True)
    errors = [note.begun_s - at for note, at in pairs if note.begun_s is not None]
    return abs(float(np.mean(errors)))


def test_a_player_who_stops_and_begins_again_at_a_bar_is_followed() -> None:
    due = page(1)
    times = np.array([float(note.seconds) for note in due])
    stop = 40
    again = max(n for n in range(30) if due[n].position != due[n - 1].position)
    first = 1.0 + times[: stop + 1]
    second = first[-1] + 3.0 + times[again:] - times[again]
    heard = hear_beginnings(due, [*first.tolist(), *second.tolist()])
    assert heard.stops == pytest.approx((first[-1],), abs=0.03)
    assert [note.begun_s for note in heard.notes[:again]] == pytest.approx(first[:again].tolist())
    assert [note.begun_s for note in heard.notes[again:]] == pytest.approx(second.tolist())


def test_a_pause_is_a_stop_and_nothing_is_lost() -> None:
    due = page(1)
    times = np.array([float(note.seconds) for note in due])
    bar = min(n for n in range(30, 60) if due[n].position != due[n - 1].position)
    played = 1.0 + times + np.where(np.arange(len(due)) >= bar, 4.0, 0.0)
    heard = hear_beginnings(due, played.tolist())
    assert len(heard.stops) == 1
    assert [note.begun_s for note in heard.notes] == pytest.approx(played.tolist())


def test_a_side_that_is_late_is_late_and_not_ironed_out() -> None:
    due = page(2)
    times = np.array([float(note.seconds) for note in due])
    late = np.array([0.035 if note.side == "off the beat" else 0.0 for note in due])
    heard = hear_beginnings(due, (2.0 + times + late).tolist())
    assert [note.begun_s for note in heard.notes] == pytest.approx((2.0 + times + late).tolist())


def test_nothing_at_all_is_one_plain_sentence() -> None:
    with pytest.raises(ListeningError, match="nothing to compare"):
        hear_beginnings(page(0), [])


def test_due_notes_follow_the_click_and_count_quarters_from_the_barline() -> None:
    """Mozart K. 156, first movement, bars 33 on: 3/8 throughout (the file itself), at an eighth
    a beat and 120 beats a minute."""
    due = page(1)
    assert len(due) == 75
    for note in due:
        assert note.beat == Fraction(1, 2)
        assert note.seconds == (note.position - 33) * Fraction(3, 2) + note.quarters

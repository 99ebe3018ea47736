"""Taps: which note each is, what a keyboard adds by itself, and how late it is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.errors import CompanionError
from companion.listening.due_notes import DueNote
from companion.listening.due_times import Due, DueBeat
from companion.listening.judgement import judgement
from companion.listening.taps import calibration, hear_taps, without_repeats

BEAT = Fraction(3, 4)
"""Seconds of a beat at 80."""


def due_of(division: int, side: str, beats: int = 24) -> list[DueNote]:
    """So many equal notes in each beat."""
    places = [n + Fraction(k, division) for n in range(beats) for k in range(division)]
    return [
        DueNote(int(1 + at // 2), at % 2, at * BEAT, BEAT, BEAT / division, (60,), side)
        for at in places
    ]


def both() -> Due:
    """Three against two: three theirs, two mine."""
    notes = sorted(due_of(2, "mine") + due_of(3, "theirs"), key=lambda note: note.seconds)
    beats = [DueBeat(float(n * BEAT), float(BEAT), 1 + n // 2, 1 + n % 2) for n in range(24)]
    return Due(tuple(notes), tuple(beats))


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    late=st.floats(-0.05, 0.05),
    delay=st.floats(-0.1, 0.1),
    dropped=st.sets(st.integers(5, 100), max_size=4),
)
def test_late_twos_are_found_and_a_constant_delay_is_taken_off(
    seed: int, late: float, delay: float, dropped: set[int]
) -> None:
    due = both()
    chance = np.random.default_rng(seed)
    noise = chance.normal(0, 0.01, len(due.notes)).clip(-0.025, 0.025)
    taps = [
        (note.side, float(note.seconds) + delay + late * (note.side == "mine") + float(off))
        for n, (note, off) in enumerate(zip(due.notes, noise, strict=True))
        if n not in dropped
    ]
    taken = hear_taps(due.notes, taps, delay)
    judged = judgement(taken.heard, due, reference="theirs", lead=taken.lead)
    assert {n for n, one in enumerate(judged.notes) if one.is_missed} == dropped
    assert not judged.added
    means = {
        side: np.mean(
            [off for n, off in enumerate(noise) if n not in dropped and due.notes[n].side == side]
        )
        for side in ("mine", "theirs")
    }
    mine = next(side for side in judged.sides if side.name == "mine")
    assert mine.late == pytest.approx(late + means["mine"] - means["theirs"], abs=0.001)


def test_a_tap_too_many_is_named_and_a_side_nobody_tapped_is_left_out() -> None:
    due = both()
    taps = [("mine", float(note.seconds)) for note in due.notes if note.side == "mine"]
    heard = hear_taps(due.notes, [*taps, ("mine", 7.0)]).heard
    assert heard.added == (7.0,)
    assert {one.note.side for one in heard.notes} == {"mine"}
    assert all(one.begun_s == pytest.approx(float(one.note.seconds)) for one in heard.notes)


def test_no_taps_are_nothing_to_judge() -> None:
    with pytest.raises(CompanionError, match="nothing was tapped"):
        hear_taps(both().notes, [])


def test_sixteen_plain_beats_tell_delay_and_spread() -> None:
    chance = np.random.default_rng(3)
    beats = [0.6 * n for n in range(16)]
    off = chance.normal(0.045, 0.012, 16)
    found = calibration(beats, [beat + x for beat, x in zip(beats, off, strict=True)])
    assert found.delay == pytest.approx(off.mean(), abs=0.004)
    assert found.spread == pytest.approx(0.012, abs=0.006)
    slipped = [beat + 0.045 for beat in beats]
    slipped[3] += 0.2
    assert calibration(beats, slipped).delay == pytest.approx(0.045, abs=1e-6)
    with pytest.raises(CompanionError, match="only 8 of 16"):
        calibration(beats, slipped[:8])


def test_a_key_held_down_repeats_itself_and_is_one_tap() -> None:
    """A usual keyboard waits half a second, then repeats thirty times a second."""
    held = [1.0, *(1.5 + k / 30 for k in range(12))]
    assert without_repeats([*held, 2.5, 2.75]) == (1.0, 2.5, 2.75)
    bounced = [1.0, 1.012, 1.5]
    assert without_repeats(bounced) == (1.0, 1.5)
    quick = [0.11 * n for n in range(20)]
    assert without_repeats(quick) == tuple(quick)


def test_many_taps_are_matched_in_order() -> None:
    due = [replace(note, side="mine") for note in due_of(4, "mine", 100)]
    taps = [("mine", float(note.seconds) + 0.02) for note in due[10:]]
    heard = hear_taps(due, taps).heard
    assert [one.begun_s is None for one in heard.notes] == [True] * 10 + [False] * 390

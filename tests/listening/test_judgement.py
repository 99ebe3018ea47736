"""Performances of corpus parts with planted faults, in events: what is judged is what was planted.

The truth is the performance itself, measured without the program: means of the planted moments.
Limits: mean offset within 1 ms, ratio within 1 %, drift within 0.1 %, at a jitter of up to 15 ms.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from statistics import fmean

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.plan import planned
from companion.click.plan.silences import Every
from companion.click.plan.tempo_plan import Fixed
from companion.listening.due_notes import OFF_THE_BEAT, ON_THE_BEAT, DueNote
from companion.listening.due_times import Due, due_in
from companion.listening.hearing import HeardNote, HeardTake
from companion.listening.judgement import InSilence, JudgedSide, Judgement, judgement
from companion.practice.attempt import Outcome
from companion.practice.proposed_outcome import proposed_outcome
from tests.listening.beginnings import hear_beginnings
from tests.listening.performing import click_of, corpus_passage, performed

PIECES = (
    ("haydn/opus74no1/movement1.mxl", 0, 17, 90, 100),
    ("mozart/k458/movement1.mxl", 3, 1, 125, 92),
    ("beethoven/opus18no1/movement1.mxl", 1, 1, 110, 88),
)
"""(file, part, first bar, last bar, beats a minute), a hundred notes off the beat and more."""


@cache
def due_of_piece(number: int) -> Due:
    path, part, first, last, bpm = PIECES[number]
    whole = corpus_passage(path, part, first, last)
    due = due_in(whole, click_of(whole, bpm))
    return replace(due, notes=tuple(replace(note, is_audible=True) for note in due.notes))


def played(due: Due, moments: list[float | None], added: tuple[float, ...] = ()) -> HeardTake:
    """A take in which every note was heard as it was played."""
    notes = tuple(HeardNote(note, at, True) for note, at in zip(due.notes, moments, strict=True))
    return HeardTake(notes, added, tuple(float(note.seconds) for note in due.notes))


def moments(
    due: Due, seed: int, jitter: float, drift: float, late: Callable[[DueNote], float]
) -> list[float | None]:
    """When each note was played: `drift` is the share by which it has slowed at the end."""
    chance = np.random.default_rng(seed)
    end = float(due.notes[-1].seconds)
    return [
        1.0 + at + drift * at**2 / (2 * end) + late(note) + float(chance.normal(0, jitter))
        for note, at in ((note, float(note.seconds)) for note in due.notes)
    ]


def side(judged: Judgement, name: str) -> JudgedSide:
    return next(one for one in judged.sides if one.name == name)


JITTER = st.floats(0, 0.015)
DRIFT = st.floats(-0.1, 0.1)
LATE = st.floats(-0.04, 0.04)
PIECE = st.integers(0, len(PIECES) - 1)
SEED = st.integers(0, 10**6)


@settings(max_examples=30, deadline=None)
@given(PIECE, SEED, JITTER, DRIFT, LATE)
def test_a_late_side_is_late_by_what_was_planted(
    piece: int, seed: int, jitter: float, drift: float, late: float
) -> None:
    due = due_of_piece(piece)
    shift: Callable[[DueNote], float] = lambda note: late * (note.side == OFF_THE_BEAT)  # noqa: E731
    judged = judgement(played(due, moments(due, seed, jitter, drift, shift)), due)
    noise = moments(due, seed, jitter, 0.0, shift)
    off = [
        (note.side, at - 1.0 - float(note.seconds))
        for note, at in zip(due.notes, noise, strict=True)
        if at is not None
    ]
    means = {name: fmean(x for s, x in off if s == name) for name in (ON_THE_BEAT, OFF_THE_BEAT)}
    found = side(judged, OFF_THE_BEAT)
    assert found.late == pytest.approx(means[OFF_THE_BEAT] - means[ON_THE_BEAT], abs=0.001)
    assert found.notes == sum(note.side == OFF_THE_BEAT for note in due.notes)
    assert found.spread == pytest.approx(jitter, rel=0.3, abs=0.001)


@settings(max_examples=30, deadline=None)
@given(PIECE, SEED, JITTER, DRIFT)
def test_drift_is_what_was_planted(piece: int, seed: int, jitter: float, drift: float) -> None:
    due = due_of_piece(piece)
    taken = moments(due, seed, jitter, drift, lambda note: 0.0)
    judged = judgement(played(due, taken), due)
    first, last = (float(due.notes[n].seconds) for n in (0, -1))
    planted = (1 + drift * first / last) / (1 + drift) - 1
    assert judged.drift == pytest.approx(planted, abs=0.001)


@settings(max_examples=20, deadline=None)
@given(st.sampled_from((0, 2)), SEED, JITTER, st.floats(-0.06, 0.06))
def test_the_ratio_inside_the_beat_is_the_one_that_was_played(
    piece: int, seed: int, jitter: float, swing: float
) -> None:
    due = due_of_piece(piece)

    def swung(note: DueNote) -> float:
        """The second of two comes later by a share of the beat."""
        beat = next(b for b in reversed(due.beats) if b.seconds <= float(note.seconds) + 1e-6)
        is_half = abs(float(note.seconds) - beat.seconds - beat.length / 2) < 1e-6
        return swing * beat.length * is_half

    judged = judgement(played(due, moments(due, seed, jitter, 0.0, swung)), due)
    twos = next(one for one in judged.divided if one.printed == (0.5, 0.5))
    assert twos.beats >= 20
    taken = moments(due, seed, jitter, 0.0, swung)
    at = {float(note.seconds): when for note, when in zip(due.notes, taken, strict=True)}
    ratios = []
    for one in judged.ratios:
        if one.printed == (0.5, 0.5):
            start = one.beat.seconds
            begun, half, end = (
                next(when for due_at, when in at.items() if abs(due_at - place) < 1e-6)
                for place in (start, start + one.beat.length / 2, start + one.beat.length)
            )
            assert begun is not None and half is not None and end is not None
            ratios.append((half - begun) / (end - begun))
    assert twos.played[0] == pytest.approx(fmean(ratios), abs=0.0001)
    assert twos.played[0] == pytest.approx(0.5 + swing, abs=0.01)


@settings(max_examples=10, deadline=None)
@given(PIECE, SEED, st.floats(0, 0.012), st.floats(-0.05, 0.05), st.data())
def test_every_note_left_out_or_put_in_is_named(
    piece: int, seed: int, jitter: float, drift: float, data: st.DataObject
) -> None:
    whole = due_of_piece(piece)
    due = replace(whole, notes=whole.notes[:80])
    inner = [n for n in range(4, len(due.notes) - 4)]
    dropped = data.draw(st.lists(st.sampled_from(inner), max_size=4, unique=True))
    apart = [n for k, n in enumerate(dropped) if all(abs(n - m) > 3 for m in dropped[:k])]
    roomy = [
        n
        for n in inner
        if due.notes[n + 1].seconds - due.notes[n].seconds > Fraction(2, 5)
        and due.notes[n].length > Fraction(1, 4)
        and all(abs(n - m) > 2 for m in apart)
    ]
    added = data.draw(st.lists(st.sampled_from(roomy), max_size=3, unique=True))
    taken = performed(
        due.notes, seed, jitter=jitter, drift=drift, dropped=sorted(apart), added=sorted(added)
    )
    judged = judgement(hear_beginnings(due.notes, [one.at for one in taken]), due)
    assert [judged.notes.index(one) for one in judged.missed] == sorted(apart)
    strays = [one.at for one in taken if one.due is None]
    assert judged.added == pytest.approx(strays)


def test_nobody_is_told_off_for_8_ms_nor_for_a_constant_lead() -> None:
    due = due_of_piece(0)
    eight = moments(due, 1, 0.008, 0.0, lambda note: 0.008 * (note.side == OFF_THE_BEAT))
    ahead: list[float | None] = [at - 0.02 for at in eight if at is not None]
    judged = judgement(played(due, ahead), due)
    assert not any(one.is_off or one.is_unsteady for one in judged.sides)
    assert proposed_outcome(judged) is Outcome.SECURE


@pytest.mark.parametrize(
    ("late", "outcome"), [(0.03, Outcome.HELD), (-0.03, Outcome.HELD), (0.055, Outcome.SHAKY)]
)
def test_a_side_30_ms_late_held_one_off_its_place_was_shaky(late: float, outcome: Outcome) -> None:
    due = due_of_piece(0)
    judged = judgement(
        played(due, moments(due, 1, 0.01, 0.0, lambda note: late * (note.side == OFF_THE_BEAT))),
        due,
    )
    assert side(judged, OFF_THE_BEAT).is_off
    assert proposed_outcome(judged) is outcome


def test_a_stop_fell_apart_and_is_found_in_its_bar() -> None:
    due = due_of_piece(2)
    taken = moments(due, 1, 0.008, 0.0, lambda note: 0.0)
    half = len(taken) // 2
    moved = [at if n < half or at is None else at + 3.0 for n, at in enumerate(taken)]
    last = taken[half - 1]
    assert last is not None
    heard = replace(played(due, moved), stops=(last,))
    judged = judgement(heard, due)
    assert judged.broke_down == (due.notes[half - 1].position,)
    assert side(judged, ON_THE_BEAT).spread == pytest.approx(0.008, abs=0.002)
    assert proposed_outcome(judged) is Outcome.FELL_APART


def test_silent_bars_tell_where_the_player_came_out() -> None:
    whole = corpus_passage("haydn/opus74no1/movement1.mxl", 0, 17, 40)
    setting = ClickSettings(Fixed(Fraction(100)), silences=(Every(4),))
    due = due_in(whole, planned(whole, (), setting))
    assert [(one.first, one.last) for one in due.silent] == [(bar, bar) for bar in range(20, 41, 4)]
    assert [one.late for one in _in_silence(due, 0.0)] == pytest.approx([0.0] * 5, abs=1e-6)
    hurried = _in_silence(due, -0.06)
    assert all(one.late == pytest.approx(-0.03, abs=0.025) for one in hurried)


def _in_silence(due: Due, ahead: float) -> tuple[InSilence, ...]:
    """Judged with a player who has got so far ahead by the end of each silent bar."""

    def shift(note: DueNote) -> float:
        for bars in due.silent:
            if bars.since <= float(note.seconds) < bars.until:
                return ahead * (float(note.seconds) - bars.since) / (bars.until - bars.since)
        return 0.0

    return judgement(played(due, moments(due, 1, 0.0, 0.0, shift)), due).in_silence

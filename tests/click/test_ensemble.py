"""The others as sound: every note on its frame, in tune, never too loud, cut anywhere."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import Layer, PartRhythm
from companion.click.plan.plan import planned
from companion.click.plan.tempo_plan import Fixed, Ladder, Ramp, TempoPlan
from companion.click.plan.timbres import ToneName
from companion.click.synth.drone import Drone
from companion.click.synth.ensemble import BUDGET, Ensemble, moments, seats
from companion.click.synth.others_notes import others_notes
from companion.click.synth.render import LiveClick
from companion.click.synth.tuning import hertz
from companion.score.passage import Passage
from tests.click.hearing import begins, pitch_of, true_peak
from tests.click.playing import playing

RATE = 48000
AT_60 = Fixed(Fraction(60))
SHORT = playing(
    "Violin: A4 2 | A4 2",
    "Viola: E4 2/3, F4 2/3, G4 2/3 | A4 1/2, r 1/2, B4 1",
    "Cello: A2 1/2 staccato, B2 1/2 staccato, C3 1 | E3 2",
)


def click(
    passage: Passage,
    tempo: TempoPlan,
    *,
    count_in: int = 0,
    times: int | None = None,
    rate: int = RATE,
) -> LiveClick:
    """The click of a passage, for ever or so many times."""
    plan = planned(passage, (), ClickSettings(tempo, (Layer.BEAT,), count_in, repeat=times))
    return LiveClick(plan, rate, is_endless=times is None)


def ensemble(
    tempo: Fraction = Fraction(80), *, rate: int = RATE, repeat: int | None = None, bars: int = 1
) -> Ensemble:
    going = click(SHORT, Fixed(tempo), count_in=bars, times=repeat, rate=rate)
    return Ensemble(others_notes(SHORT, (1, 2)), going, places=seats(3))


def test_notes_begin_on_the_frame_nearest_to_their_exact_time() -> None:
    # Quarter = 80 at 48 kHz is 36,000 frames: sixth notes of 2/4 at 0, 24,000, 48,000.
    passage = playing("Violin: A4 2", "Viola: E4 1/3, r 1/3, G4 1/3, r 1/3, B4 1/3, r 1/3")
    going = click(passage, Fixed(Fraction(80)), times=1)
    heard = Ensemble(others_notes(passage, (1,)), going, tone=ToneName.PLUCKED).read(0, 72000)
    # The first sample of a tone is zero, and the next ones may still round to nothing.
    late = np.array(begins(heard)) - (0, 24000, 48000)
    assert ((late >= 1) & (late <= 3)).all()


@given(st.integers(-5000, 500_000), st.lists(st.integers(1, 3000), min_size=1, max_size=5))
def test_blocks_of_any_size_give_the_same_sound(first: int, sizes: list[int]) -> None:
    playing_along = ensemble(rate=16000)
    whole = playing_along.read(first, sum(sizes))
    pieces, at = [], first
    for size in sizes:
        pieces.append(playing_along.read(at, size))
        at += size
    assert np.array_equal(whole, np.concatenate(pieces))


def test_nobody_plays_while_counting_in_and_every_round_is_the_same() -> None:
    going_round = ensemble()
    bar = 72000
    assert not going_round.read(0, bar).any()
    first, second = (going_round.read(bar + n * 2 * bar, 2 * bar) for n in (0, 1))
    assert first.any()
    assert np.array_equal(first, second)


def test_played_twice_it_is_silent_afterwards() -> None:
    twice = ensemble(repeat=2)
    assert twice.length == 72000 * 5
    assert twice.read(72000 * 5 - 6000, 5000).any()
    assert not twice.read(72000 * 5, 5000).any()


@pytest.mark.parametrize("a", [415.0, 442.0])
def test_the_others_tune_to_the_a_that_was_given(a: float) -> None:
    passage = playing("Violin: A4 2", "Cello: E3 2")
    heard = Ensemble(others_notes(passage, (1,)), click(passage, AT_60, times=1), a=a).read(
        0, 2 * RATE
    )
    cents = 1200 * math.log2(pitch_of(heard[:, 0].astype(float), RATE) / hertz(52, a))
    assert abs(cents) < 1


def crowd(parts: int) -> Ensemble:
    chord = [f"P: {pitch} 2 accent" for pitch in ("C3", "E3", "G3", "C4", "E4", "G4", "C5", "E5")]
    passage = playing("Me: A4 2", *chord[:parts])
    notes = others_notes(passage, range(1, parts + 1))
    going = click(passage, AT_60)
    return Ensemble(notes, going, tone=ToneName.PLUCKED, places=seats(parts + 1))


def test_however_many_play_there_is_room_for_the_click() -> None:
    assert true_peak(crowd(8).read(0, 96000)) <= 20 * math.log10(BUDGET) + 0.1


def test_the_top_of_the_page_sits_left_and_the_bottom_right() -> None:
    assert seats(4) == {0: -0.5, 1: pytest.approx(-1 / 6), 2: pytest.approx(1 / 6), 3: 0.5}
    assert seats(1) == {0: 0.0}


def energy(samples: NDArray[np.int16]) -> tuple[float, float]:
    left, right = (samples.astype(float) ** 2).sum(axis=0)
    return float(left), float(right)


def test_a_part_on_the_left_is_still_heard_on_the_right() -> None:
    passage = playing("Me: A4 2", "Violin: E5 2")
    going = click(passage, AT_60)
    left, right = energy(
        Ensemble(others_notes(passage, (1,)), going, places={1: -0.5}).read(0, 48000)
    )
    assert left > right > left / 5


def test_a_drone_is_in_tune_and_has_no_seam() -> None:
    drone = Drone(57, RATE, 415.0)
    hour = drone.read(3600 * RATE, RATE)
    cents = 1200 * math.log2(pitch_of(hour[:, 0].astype(float), RATE) / 207.5)
    assert abs(cents) < 1
    assert np.array_equal(
        drone.read(100, 5000), np.concatenate([drone.read(100, 77), drone.read(177, 4923)])
    )


tempos = st.fractions(30, 240, max_denominator=7)


@given(tempos, tempos, st.integers(0, 50), st.lists(st.fractions(0, 4, max_denominator=12)))
def test_frames_made_all_at_once_are_those_made_one_by_one(
    first: Fraction, last: Fraction, number: int, intos: list[Fraction]
) -> None:
    going = click(SHORT, Ramp(first, last, over=3), count_in=1)
    table = going.plan.timetable
    wanted = [going.frame(number, into) for into in intos]
    made = moments(table.pace(number), RATE, intos).frames(table.begin(number) * RATE)
    assert made == wanted


def test_the_others_climb_a_ladder_with_the_click() -> None:
    # A note on the second beat: at quarter = 60 a second after the barline, at 120 half a one.
    passage = playing("Violin: A4 2", "Viola: r 1, E4 1/4, r 3/4")
    climbing = click(passage, Ladder(Fraction(60), Fraction(120), Fraction(60), each=2))
    heard = Ensemble(others_notes(passage, (1,)), climbing, tone=ToneName.PLUCKED)
    late = np.array(begins(heard.read(0, 6 * RATE))) - (48000, 144000, 216000, 264000)
    assert ((late >= 1) & (late <= 3)).all()


def test_every_note_begins_with_its_stroke_of_the_click() -> None:
    # The viola's thirds against the beat, at a tempo that fits into no whole frames.
    passage = playing("Violin: A4 2", "Viola: E4 1/3, r 1/3, G4 1/3, r 1/3, B4 1/3, r 1/3")
    plan = planned(
        passage, (), ClickSettings(Fixed(Fraction(71)), (PartRhythm(1, "Viola"),), 1, repeat=5)
    )
    going = LiveClick(plan, RATE, is_endless=False)
    struck = begins(going.read(0, 10 * RATE))[2:]
    along = Ensemble(others_notes(passage, (1,)), going, tone=ToneName.PLUCKED)
    late = np.array(begins(along.read(0, 10 * RATE))) - struck
    assert len(struck) == 15
    assert ((late >= 1) & (late <= 3)).all()

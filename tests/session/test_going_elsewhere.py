"""Bars gone to while a drill plays, and beginning again in the middle, counted in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from companion.session.drill import Drill
from companion.session.track import Position
from companion.sound.combined_sources import CountInSource
from companion.wording.drill_sentences import state_told
from tests.session.small_scores import (
    RATE,
    Hand,
    drill_of,
    faster,
    folders_in,
    silent,
    three_against_two,
)

BAR = 2
"""Seconds of a bar of two beats at 60, and clock time of it."""


@pytest.fixture
def hand() -> Hand:
    return Hand()


@pytest.fixture
def drill(tmp_path: Path, hand: Hand) -> Drill:
    """Five bars of 3 against 2 at 60, counted in for one bar."""
    return drill_of(three_against_two(5), folders_in(tmp_path), hand)


def here(drill: Drill) -> Position:
    position = drill.position()
    assert position is not None
    return position


def bar(drill: Drill) -> tuple[int, int]:
    """(times through behind, bar)."""
    return here(drill).place.passes, here(drill).bar


def test_the_next_bar_begins_at_once(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 0.7)
    drill.seek(1)
    assert here(drill).time == BAR
    assert state_told(drill, here(drill)) == "▶ playing, bar 2"
    hand.push(BAR)
    assert here(drill).time == 2 * BAR


def test_back_leads_to_the_beginning_of_the_bar_and_then_to_the_one_before(
    drill: Drill, hand: Hand
) -> None:
    drill.start()
    hand.push(BAR + 2 * BAR + 1.5)
    drill.seek(-1)
    assert here(drill).time == 2 * BAR
    drill.seek(-1)
    assert here(drill).time == BAR


def test_after_the_last_bar_comes_the_first_again(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 4 * BAR + 0.5)
    assert bar(drill) == (0, 5)
    drill.seek(1)
    assert bar(drill) == (1, 1)
    drill.seek(-1)
    assert bar(drill) == (0, 5)


def test_before_the_first_bar_there_is_none(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 0.5)
    drill.seek(-1)
    drill.seek(-1)
    assert here(drill).time == 0


def test_out_of_the_count_in_one_goes_straight_to_a_bar(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(0.5)
    drill.seek(2)
    assert here(drill).time == 2 * BAR


def test_a_pause_holds_while_one_goes_elsewhere(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 1)
    drill.pause()
    drill.seek(3)
    hand.push(60)
    assert here(drill).time == 3 * BAR
    assert state_told(drill, here(drill)).startswith("‖ paused, bar 4 · a: again")
    drill.start()
    hand.push(1)
    assert here(drill).time == 3 * BAR + 1


def test_a_time_through_with_bars_left_out_does_not_count(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 1)
    drill.seek(3)
    hand.push(2 * BAR)
    assert bar(drill) == (1, 1)
    assert drill.passes == 0
    hand.push(5 * BAR)
    assert drill.passes == 1


def test_going_back_leaves_nothing_out(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 3 * BAR)
    drill.seek(-2)
    hand.push(4 * BAR)
    assert drill.passes == 1


def test_again_counts_in_and_goes_on_from_the_bar_that_was_on(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 3 * BAR + 1.25)
    drill.pause()
    drill.again()
    seen = []
    for _ in range(4):
        beat = here(drill).beat
        assert beat is not None
        seen.append((here(drill).time, here(drill).bar, beat.number, beat.bar))
        hand.push(1)
    assert seen == [(None, 4, 1, 0), (None, 4, 2, 0), (6, 4, 1, 4), (7, 4, 2, 4)]


def test_again_from_the_middle_sounds_the_count_in_and_then_that_bar(
    drill: Drill, hand: Hand
) -> None:
    drill.start()
    hand.push(BAR + 3 * BAR)
    drill.again()
    track = drill.transport.track
    assert track is not None
    assert isinstance(track.source, CountInSource)
    heard = track.source.read(0, 3 * BAR * RATE)
    whole = track.music.read(0, 10 * BAR * RATE)
    # The counting of the bar entered at is that of the first bar, of the same meter and tempo.
    assert np.array_equal(heard[: BAR * RATE], whole[: BAR * RATE])
    entered = BAR * RATE + 3 * BAR * RATE
    assert np.array_equal(heard[BAR * RATE :], whole[entered : entered + 2 * BAR * RATE])


def test_the_first_time_round_after_an_entry_does_not_count(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 3 * BAR)
    drill.again()
    hand.push(BAR + 2 * BAR + 0.5)
    assert bar(drill) == (1, 1)
    assert drill.passes == 0
    hand.push(5 * BAR)
    assert drill.passes == 1


def test_again_without_a_count_in_counts_one_bar_all_the_same(drill: Drill, hand: Hand) -> None:
    drill.setting = type(drill.setting)(drill.setting.tempo, count_in=0)
    drill.start()
    hand.push(BAR)
    drill.again()
    assert drill.setting.count_in == 1
    assert here(drill).time is None


def test_another_tempo_in_the_count_in_of_an_entry_keeps_the_count(
    drill: Drill, hand: Hand
) -> None:
    drill.start()
    hand.push(BAR + 2 * BAR)
    drill.again()
    hand.push(1.5)
    faster(drill, 60)
    assert drill.load(drill.render())
    assert float(here(drill).place.into) == pytest.approx(-0.5, abs=1e-4)
    hand.push(0.25)
    assert float(here(drill).time or 0) == pytest.approx(2 * BAR, abs=1e-4)


def test_after_an_entry_every_bar_can_still_be_gone_to(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 3 * BAR)
    drill.again()
    hand.push(BAR + 1.5)
    drill.seek(-1)
    assert bar(drill) == (0, 4)
    drill.seek(-1)
    drill.seek(-1)
    assert here(drill).time == BAR
    faster(drill, 10)
    assert drill.load(drill.render())
    assert float(here(drill).time or 0) == pytest.approx(BAR, abs=1 / RATE)


def test_before_a_start_one_chooses_where_to_begin(drill: Drill) -> None:
    drill.seek(1)
    drill.seek(1)
    assert state_told(drill, None) == "■ stopped, begins at bar 3"
    drill.start()
    assert here(drill).bar == 3
    assert here(drill).time is None
    drill.stop()
    assert state_told(drill, None) == "■ stopped"


def test_where_one_begins_stays_within_the_passage(drill: Drill) -> None:
    drill.seek(-3)
    assert drill.setting.first is None
    drill.seek(99)
    assert drill.setting.first == 5


def test_a_device_given_away_comes_back_at_the_bar_where_we_were(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 2 * BAR)
    drill.release_player()
    assert state_told(drill, None) == "■ stopped, begins at bar 3"
    drill.take_player(silent(hand), "Another device plays.")
    assert drill.notice == "Another device plays."
    drill.start()
    assert here(drill).bar == 3

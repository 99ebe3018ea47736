"""A drill on a silent player whose clock the test moves: no sleeping, no waiting."""

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from companion.click.plan.layers import Layer
from companion.errors import RequestError
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.session.tally import A_REST, REST_AFTER
from companion.session.track import Position
from companion.wording.drill_sentences import layers_told, silence_told, state_told
from tests.score.written import score_of
from tests.session.small_scores import (
    RATE,
    Hand,
    drill_of,
    faster,
    folders_in,
    opened_for_practice,
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
    """Two bars of 3 against 2 at 60, counted in for one bar."""
    return drill_of(three_against_two(), folders_in(tmp_path), hand)


def here(drill: Drill) -> Position:
    position = drill.position()
    assert position is not None
    return position


def change(drill: Drill) -> None:
    """Make the sound of what is wanted and put it on, as a screen does."""
    assert drill.load(drill.render())


def toggle(drill: Drill, layer: Layer) -> None:
    drill.request(setting_changes.toggled(drill.setting, layer))


def test_before_the_start_nothing_is_heard(drill: Drill) -> None:
    assert drill.position() is None
    assert drill.state == "idle"
    assert state_told(drill, None) == "■ stopped"


def test_a_bar_is_counted_in_and_then_the_passage_begins(drill: Drill, hand: Hand) -> None:
    drill.start()
    seen = []
    for _ in range(8):
        position = here(drill)
        assert position.beat is not None
        seen.append((position.beat.number, position.beat.bar, position.time))
        hand.push(1)
    assert seen == [
        *((1, 0, None), (2, 0, None)),
        *((1, 1, 0), (2, 1, 1), (1, 2, 2), (2, 2, 3)),
        *((1, 1, 0), (2, 1, 1)),
    ]


def test_between_beats_the_playhead_is_where_the_clock_is(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 1.25)
    assert here(drill).time == Fraction(5, 4)
    assert state_told(drill, here(drill)) == "▶ playing, bar 1"


def test_the_frames_of_a_beat_at_80(drill: Drill, hand: Hand) -> None:
    # 60 s / 80 × 48,000 frames a second = 36,000 frames.
    faster(drill, 20)
    drill.start()
    hand.push(2 * 36000 / RATE)
    assert here(drill).time == 0
    hand.push(36000 / RATE)
    assert here(drill).time == 1


def test_a_faster_tempo_goes_on_from_the_same_place(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 2.5)
    assert here(drill).place.into == Fraction(5, 2)
    faster(drill, 60)
    change(drill)
    assert here(drill).place.into == Fraction(5, 2)
    hand.push(0.5)
    assert here(drill).place.into == Fraction(7, 2)


def test_an_odd_tempo_keeps_the_place_to_the_nearest_frame(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 1.2345)
    before = here(drill).place.into
    faster(drill, 11)
    change(drill)
    half_a_frame = Fraction(1, 2) / (Fraction(60, 71) * RATE)
    assert abs(here(drill).place.into - before) <= half_a_frame


def test_a_change_of_tempo_in_the_count_in_keeps_the_count(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(1.5)
    faster(drill, -30)
    change(drill)
    assert here(drill).place.into == Fraction(-1, 2)
    hand.push(1)
    assert here(drill).time == 0


def test_a_tempo_that_is_no_longer_wanted_is_not_put_on(drill: Drill) -> None:
    drill.start()
    faster(drill, 1)
    late = drill.render()
    faster(drill, 1)
    assert not drill.load(late)
    assert drill.load(drill.render())


def test_the_tempo_stays_between_10_and_400(drill: Drill) -> None:
    faster(drill, -1000)
    assert drill.bpm == 10
    faster(drill, 1000)
    assert drill.bpm == 400


def test_other_layers_leave_the_place_alone(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 0.7)
    before = here(drill).place
    toggle(drill, Layer.RESULTANT)
    toggle(drill, Layer.BEAT)
    change(drill)
    assert here(drill).place == before
    assert layers_told(drill) == (
        "Layers: b beat off  d division off  m mine ON  t theirs ON  r resultant ON"
    )


def test_one_layer_stays_on(drill: Drill) -> None:
    drill.request(setting_changes.with_layers(drill.setting, [Layer.BEAT]))
    with pytest.raises(RequestError, match="one layer must stay on"):
        toggle(drill, Layer.BEAT)
    assert drill.setting.layers == (Layer.BEAT,)


def test_after_a_pause_it_goes_on_where_it_was(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 1)
    drill.pause()
    hand.push(100)
    assert here(drill).time == 1
    assert state_told(drill, here(drill)).startswith("‖ paused, bar 1")
    drill.start()
    hand.push(1)
    assert here(drill).time == 2
    assert drill.seconds == 4


def test_after_a_stop_it_is_counted_in_again(drill: Drill, hand: Hand) -> None:
    drill.start()
    hand.push(BAR + 3)
    drill.stop()
    assert drill.position() is None
    drill.start()
    assert here(drill).place.into == -2


def test_without_a_count_in_the_music_begins_at_once(drill: Drill) -> None:
    drill.request(setting_changes.with_next_count_in(drill.setting))
    drill.request(setting_changes.with_next_count_in(drill.setting))
    assert drill.setting.count_in == 0
    drill.start()
    assert here(drill).time == 0


def test_the_caution_comes_before_the_first_sound_only(tmp_path: Path, hand: Hand) -> None:
    open_score, folders = three_against_two(), folders_in(tmp_path)
    first = drill_of(open_score, folders, hand)
    assert first.is_caution_due
    assert drill_of(open_score, folders, hand).is_caution_due
    first.start()
    assert not drill_of(open_score, folders, hand).is_caution_due


def test_a_rest_is_due_after_a_quarter_of_an_hour_and_not_after_resting(
    drill: Drill, hand: Hand
) -> None:
    drill.start()
    hand.push(REST_AFTER - 1)
    drill.pause()
    hand.push(A_REST - 1)
    drill.start()
    assert not drill.is_long_without_rest
    hand.push(1)
    assert drill.is_long_without_rest
    drill.pause()
    hand.push(A_REST)
    drill.start()
    assert not drill.is_long_without_rest


def test_when_the_sound_fails_practice_goes_on_in_silence_from_there(
    tmp_path: Path, hand: Hand
) -> None:
    player = silent(hand)
    drill = drill_of(three_against_two(), folders_in(tmp_path), hand, player)
    drill.start()
    hand.push(BAR + 1)
    assert not drill.keep_going()

    def breaks(frame: int) -> int:
        raise OSError("the device was unplugged")

    player.swap(drill.render().source, breaks)
    assert drill.keep_going()
    assert drill.state == "playing"
    assert "the device was unplugged" in drill.notice
    assert drill.notice.endswith("The beat goes on here, in silence.")
    drill.pause()
    assert here(drill).place.into >= 0
    drill.close()


def test_a_setting_that_cannot_be_had_is_given_up(drill: Drill) -> None:
    drill.start()
    before = drill.setting
    drill.setting = replace(before, count_in=99)
    with pytest.raises(RequestError):
        drill.render()
    drill.keep_what_sounds()
    assert drill.setting == before


def test_a_drill_that_is_not_heard_says_so(tmp_path: Path) -> None:
    """Mine and theirs strike in conflicts only; here nothing pulls."""
    drill = drill_of(
        opened_for_practice(score_of({"Violin": "2/4 q q | q q"})), folders_in(tmp_path), Hand()
    )
    drill.load(drill.render())
    assert silence_told(drill) == ""
    drill.request(replace(drill.setting, layers=(Layer.MINE, Layer.THEIRS)))
    drill.load(drill.render())
    assert silence_told(drill).startswith("Silent after the count-in: mine and theirs strike")

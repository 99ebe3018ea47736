"""One suite for every way to the ear: what is asked of a player, and what is then heard."""

from __future__ import annotations

import numpy as np
import pytest

from tests.sound.conftest import Play
from tests.sound.music import Samples
from tests.sound.scenes import FIRST, LOOP, SECOND

every = pytest.mark.parametrize("backend", ["miniaudio", "simpleaudio", "silent"])
audible = pytest.mark.parametrize("backend", ["miniaudio", "simpleaudio"])
FADE = 240
"""5 ms at 48 kHz."""


def same(heard: Samples, wanted: Samples) -> bool:
    return bool(len(wanted)) and np.array_equal(heard, wanted)


@every
def test_a_passage_is_idle_then_playing_then_ended(play: Play, backend: str) -> None:
    seen = play(backend, "plays_once").seen
    assert seen["before"] == ["idle", 0]
    assert seen["started"] == "playing"
    assert seen["heard"] == 16000
    assert seen["failure"] == ""


@every
def test_what_is_heard_never_runs_backwards(play: Play, backend: str) -> None:
    assert play(backend, "plays_once").seen["in_order"]


@audible
def test_what_is_played_once_reaches_the_card_sample_for_sample(play: Play, backend: str) -> None:
    assert same(play(backend, "plays_once").music(), FIRST.read(0, 16000))


@every
def test_a_start_in_the_middle_is_heard_from_there(play: Play, backend: str) -> None:
    seen = play(backend, "starts_in_the_middle").seen
    assert seen["at_once"]
    assert seen["heard"] == 16000


@audible
def test_a_start_in_the_middle_leaves_out_what_came_before(play: Play, backend: str) -> None:
    assert same(play(backend, "starts_in_the_middle").music(), FIRST.read(5000, 11000))


@every
def test_a_loop_goes_on_until_it_is_stopped(play: Play, backend: str) -> None:
    seen = play(backend, "counts_in_once_and_goes_round").seen
    assert seen["state"] == "playing"
    assert seen["stopped"] == ["idle", 0]


@audible
def test_the_count_in_is_heard_once_and_the_passage_round_and_round(
    play: Play, backend: str
) -> None:
    music = play(backend, "counts_in_once_and_goes_round").music()
    assert same(music[:24000], LOOP.read(0, 24000))
    assert same(music[16800:24000], music[9600:16800])


@every
def test_after_a_swap_the_new_music_is_what_is_heard(play: Play, backend: str) -> None:
    seen = play(backend, "swaps_to_the_same_music").seen
    assert seen == {"heard": 16000, "hears_the_new": True}


def test_a_swap_to_the_same_music_changes_no_sample(play: Play) -> None:
    music = play("miniaudio", "swaps_to_the_same_music").music()
    assert same(music, FIRST.read(0, 16000))


@every
def test_a_swap_asks_once_where_to_go_on(play: Play, backend: str) -> None:
    seen = play(backend, "swaps_to_other_music").seen
    assert isinstance(seen["left"], list)
    assert len(seen["left"]) == 1
    assert seen["left"][0] >= 3000
    assert seen["heard"] == 20000
    assert seen["end"]


@audible
def test_a_swap_goes_on_at_the_frame_it_was_carried_to(play: Play, backend: str) -> None:
    heard = play(backend, "swaps_to_other_music")
    assert isinstance(heard.seen["left"], list)
    faded_in = heard.seen["left"][0] + 1000 + FADE
    rest = 20000 - faded_in
    assert same(heard.music()[-rest:], SECOND.read(faded_in, rest))


def test_a_swap_leaves_no_hole(play: Play) -> None:
    heard = play("miniaudio", "swaps_to_other_music")
    assert isinstance(heard.seen["left"], list)
    left = heard.seen["left"][0]
    assert same(heard.takes[0][:left], FIRST.read(0, left))
    faded_in = left + 1000 + FADE
    assert same(heard.takes[0][left + FADE : 19000], SECOND.read(faded_in, 20000 - faded_in))


@every
def test_a_pause_holds_and_goes_on(play: Play, backend: str) -> None:
    seen = play(backend, "pauses_and_resumes").seen
    assert seen["states"] == ["paused", "playing"]
    assert isinstance(seen["held"], list)
    assert seen["held"][0] == seen["held"][1] >= 3000
    assert seen["heard"] == 20000


@audible
def test_a_pause_loses_no_frame(play: Play, backend: str) -> None:
    heard = play(backend, "pauses_and_resumes")
    assert isinstance(heard.seen["held"], list)
    faded_in = heard.seen["held"][0] + FADE
    rest = 20000 - faded_in
    assert same(heard.music()[-rest:], SECOND.read(faded_in, rest))


def test_a_pause_fades_out_where_it_holds(play: Play) -> None:
    heard = play("miniaudio", "pauses_and_resumes")
    assert isinstance(heard.seen["held"], list)
    held = heard.seen["held"][0]
    take = heard.takes[0]
    assert same(take[:held], SECOND.read(0, held))
    faded = np.abs(take[held : held + FADE].astype(int))
    assert (faded <= np.abs(SECOND.read(held, FADE).astype(int))).all()
    assert faded[-1].max() < 100
    assert not take[held + FADE : held + 2 * FADE].any()


@every
def test_a_swap_while_paused_stays_paused_at_the_new_place(play: Play, backend: str) -> None:
    seen = play(backend, "swaps_while_paused").seen
    assert seen["state_and_step"] == ["paused", 2000]
    assert seen["heard"] == 20000


@every
def test_a_swap_after_the_end_plays_on(play: Play, backend: str) -> None:
    seen = play(backend, "goes_on_after_the_end_when_swapped").seen
    assert seen["heard"] == 20000
    assert seen["state"] in ("playing", "ended")


@audible
def test_after_the_end_the_rest_of_the_new_music_follows(play: Play, backend: str) -> None:
    music = play(backend, "goes_on_after_the_end_when_swapped").music()
    assert same(music[:16000], FIRST.read(0, 16000))
    assert same(music[-4000 + FADE :], SECOND.read(16000 + FADE, 4000 - FADE))


@every
def test_a_stopped_player_starts_again(play: Play, backend: str) -> None:
    seen = play(backend, "stops_and_starts_again").seen
    assert seen == {"stopped": ["idle", 0], "heard": 16000}


@audible
def test_a_second_start_plays_all_of_it(play: Play, backend: str) -> None:
    music = play(backend, "stops_and_starts_again").music()
    assert same(music[-16000 + FADE :], FIRST.read(FADE, 16000 - FADE))


@audible
def test_music_that_cannot_be_read_fails_with_a_sentence(play: Play, backend: str) -> None:
    seen = play(backend, "meets_a_source_that_fails").seen
    assert seen["failure"] == "The sound stopped: the page is torn (OSError)."
    assert seen["still"] == "failed"


@audible
def test_a_start_after_a_failure_plays(play: Play, backend: str) -> None:
    heard = play(backend, "meets_a_source_that_fails")
    assert heard.seen["again"] in ("playing", "ended")
    assert same(heard.music()[-16000:], FIRST.read(0, 16000))


@every
def test_a_swap_that_cannot_say_where_to_go_on_fails_with_a_sentence(
    play: Play, backend: str
) -> None:
    seen = play(backend, "meets_a_carry_that_fails").seen
    assert seen["failure"] == "The sound stopped: no such bar (LookupError)."


@every
def test_a_closed_player_is_idle_and_says_that_it_is_closed(play: Play, backend: str) -> None:
    # That no thread is left is seen to by the stage, after every scene.
    seen = play(backend, "closes_for_good").seen
    assert (seen["state"], seen["heard"]) == ("idle", 0)
    assert seen["refused"] == "The player is closed. Open another one."


def test_a_device_that_goes_away_is_reported_and_found_again(play: Play) -> None:
    heard = play("miniaudio", "loses_its_device")
    assert "went away" in str(heard.seen["failure"])
    assert heard.seen["heard"] == 16000
    assert same(heard.takes[-1][:16000], FIRST.read(0, 16000))

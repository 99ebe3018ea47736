"""Silence keeps time: the tests say what time it is, the player where we are."""

from __future__ import annotations

from dataclasses import dataclass

from companion.sound.card import SilentCard
from companion.sound.player import CardPlayer
from tests.sound.music import RATE, noise

ONCE = noise(RATE, seed=1)
LOOP = noise(RATE, seed=3, loop_from=RATE // 2)


@dataclass
class Hand:
    """A clock moved by hand."""

    now: float = 5.0

    def __call__(self) -> float:
        return self.now


def silent(offset: float = 0.0) -> tuple[CardPlayer, Hand]:
    hand = Hand()
    return CardPlayer(SilentCard(RATE, hand), offset=offset), hand


def test_a_second_of_music_takes_a_second() -> None:
    player, hand = silent()
    hand.now += 2
    player.start(ONCE)
    hand.now += 0.25
    assert (player.state, player.heard()) == ("playing", 12000)
    hand.now += 0.75
    assert (player.state, player.heard()) == ("ended", RATE)
    hand.now += 100
    assert (player.state, player.heard()) == ("ended", RATE)


def test_rounds_are_counted_without_folding() -> None:
    player, hand = silent()
    player.start(LOOP)
    hand.now += 60
    assert (player.state, player.heard()) == ("playing", 60 * RATE)
    assert LOOP.place(player.heard()) == RATE // 2


def test_a_pause_stands_still() -> None:
    player, hand = silent()
    player.start(LOOP, at=480)
    hand.now += 0.5
    player.pause()
    hand.now += 30
    assert (player.state, player.heard()) == ("paused", 24480)
    player.resume()
    hand.now += 0.5
    assert (player.state, player.heard()) == ("playing", 48480)


def test_half_the_tempo_goes_on_at_twice_the_frame() -> None:
    player, hand = silent()
    player.start(LOOP)
    hand.now += 0.5
    player.swap(noise(2 * RATE, seed=5, loop_from=0), lambda frame: 2 * frame)
    assert player.heard() == RATE
    hand.now += 0.5
    assert player.heard() == RATE + 24000


def test_buttons_that_mean_nothing_now_do_nothing() -> None:
    player, hand = silent()
    player.pause()
    player.resume()
    player.stop()
    seen = [player.state]
    player.start(ONCE)
    player.resume()
    seen.append(player.state)
    hand.now += 2
    player.pause()
    assert [*seen, player.state] == ["idle", "playing", "ended"]


def test_a_swap_to_before_the_start_goes_on_from_the_start() -> None:
    player, _ = silent()
    player.start(ONCE)
    player.swap(LOOP, lambda frame: frame - 500)
    assert player.heard() == 0


def test_an_ear_that_is_late_hears_an_earlier_frame() -> None:
    player, hand = silent(offset=0.2)
    player.start(ONCE)
    hand.now += 0.1
    assert player.heard() == 0
    hand.now += 0.4
    assert player.heard() == 14400


def test_the_delay_of_the_ear_is_turned_while_it_plays() -> None:
    player, hand = silent()
    player.start(LOOP)
    hand.now += 0.5
    player.set_offset(0.1)
    assert player.heard() == 19200
    player.set_offset(-0.1)
    assert player.heard() == 28800


def test_music_ends_when_its_last_frame_has_reached_the_ear() -> None:
    player, hand = silent(offset=0.2)
    player.start(ONCE)
    hand.now += 1.1
    seen = player.state
    hand.now += 0.2
    assert (seen, player.state) == ("playing", "ended")


def test_a_player_stopped_and_started_again_is_heard_from_its_start() -> None:
    player, hand = silent(offset=0.2)
    player.start(ONCE)
    hand.now += 0.5
    player.stop()
    assert (player.state, player.heard()) == ("idle", 0)
    player.start(LOOP, at=100)
    assert player.hearing() == (LOOP, 100)

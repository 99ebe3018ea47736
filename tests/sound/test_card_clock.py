"""Which frame leaves the card, told by when it asks; time is told by the tests."""

from __future__ import annotations

import random
from dataclasses import dataclass

import pytest

from companion.sound.card_clock import CardClock

RATE = 48000
PERIOD = 1200


@dataclass
class Hand:
    """A clock moved by hand."""

    now: float = 100.0

    def __call__(self) -> float:
        return self.now


def card(late: list[float], periods: int = 3) -> tuple[CardClock, Hand, float]:
    """A card that fills a queue of `periods` blocks, then asks whenever one has been played.

    `late` says by how much each request after the first ones is delayed. Gives the
    clock, the hand and the moment the first frame was heard.
    """
    hand = Hand()
    clock = CardClock(RATE, hand)
    began = hand.now
    for _ in range(periods + 1):
        clock.asked(PERIOD)
    for number, delay in enumerate(late, 1):
        hand.now = began + number * PERIOD / RATE + delay
        clock.asked(PERIOD)
    return clock, hand, began


def test_before_the_first_request_nothing_is_heard() -> None:
    hand = Hand()
    clock = CardClock(RATE, hand)
    hand.now += 10
    assert clock.played() == 0


def test_what_waits_in_the_queue_is_taken_off() -> None:
    clock, hand, began = card([0.0] * 40)
    hand.now = began + 1.0125
    assert clock.played() == pytest.approx(1.0125 * RATE, abs=2)


@pytest.mark.parametrize("periods", [2, 3, 8])
def test_the_depth_of_the_queue_is_found_out(periods: int) -> None:
    clock, hand, began = card([0.0] * 40, periods)
    hand.now = began + 0.99
    assert clock.played() == pytest.approx(0.99 * RATE, abs=2)


def test_late_requests_do_not_make_the_playhead_stutter() -> None:
    luck = random.Random(1)
    late = [luck.choice([0.0, 0.001, 0.007, 0.016]) for _ in range(200)]
    late[::10] = [0.0] * 20
    clock, hand, began = card(late)
    assert clock.played() == pytest.approx((hand.now - began) * RATE, abs=5)


def test_a_card_that_runs_a_little_fast_is_followed() -> None:
    # One part in a thousand, far worse than any crystal: 10 s drift 10 ms apart, and
    # of the last fifty requests 1.25 ms remain.
    drift = [-number * PERIOD / RATE * 0.001 for number in range(1, 401)]
    clock, hand, _ = card(drift)
    assert clock.played() == pytest.approx(400 * PERIOD, abs=0.002 * RATE)


def test_what_is_heard_never_runs_backwards_and_never_past_what_was_sent() -> None:
    luck = random.Random(2)
    hand = Hand()
    clock = CardClock(RATE, hand)
    heard = []
    for _ in range(400):
        clock.asked(PERIOD)
        for _ in range(luck.randrange(4)):
            hand.now += luck.random() * 0.02
            heard.append(clock.played())
    assert heard == sorted(heard)
    assert heard[-1] <= 400 * PERIOD


def test_a_card_that_ran_dry_is_believed_again_afterwards() -> None:
    clock, hand, _ = card([0.0] * 100)
    stood_still = 0.4
    for _ in range(60):
        hand.now += PERIOD / RATE
        moment = hand.now
        hand.now = moment + stood_still
        clock.asked(PERIOD)
        hand.now = moment
    hand.now += stood_still
    # 161 blocks asked for after the first three, which are still in the queue.
    assert clock.played() == pytest.approx(160 * PERIOD, abs=PERIOD)


def test_a_card_that_stops_asking_has_stalled() -> None:
    clock, hand, _ = card([0.0] * 4)
    assert not clock.stalled()
    for _ in range(30):
        hand.now += 0.1
        stalled = clock.stalled()
    assert stalled
    clock.asked(PERIOD)
    assert not clock.stalled()


def test_a_program_that_was_suspended_does_not_blame_the_card() -> None:
    clock, hand, _ = card([0.0] * 4)
    assert not clock.stalled()
    hand.now += 3600
    assert not clock.stalled()

"""While somebody listens the interpreter takes no long breath; afterwards all is as it was."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from functools import partial

import pytest

from companion.sound import gc_pause
from companion.sound.card import SilentCard
from companion.sound.player import CardPlayer
from tests.sound.music import RATE, noise

LOOP = noise(4800, seed=1, loop_from=0)


@pytest.fixture(autouse=True)
def nobody_listens() -> None:
    """Players of other tests that were never closed are forgotten."""
    gc.collect()
    gc_pause.resume_gc(CardPlayer(SilentCard(RATE)))


def is_undisturbed() -> bool:
    """The whole is searched seldom, and what was there is left out."""
    is_seldom = gc.get_threshold()[2] == gc_pause.SELDOM and gc.get_freeze_count() > 0
    return is_seldom and sys.getswitchinterval() < 0.002


def test_a_player_is_undisturbed_while_it_plays_and_only_then() -> None:
    usual = gc.get_threshold()
    player = CardPlayer(SilentCard(RATE))
    seen = [is_undisturbed()]
    buttons: list[Callable[[], None]] = [
        partial(player.start, LOOP),
        player.pause,
        player.resume,
        player.stop,
        partial(player.start, LOOP),
        player.close,
    ]
    for button in buttons:
        button()
        seen.append(is_undisturbed())
    assert seen == [False, True, False, True, False, True, False]
    assert gc.get_threshold() == usual
    assert gc.get_freeze_count() == 0
    assert sys.getswitchinterval() == 0.005


def test_of_two_players_the_last_one_ends_it() -> None:
    first, second = CardPlayer(SilentCard(RATE)), CardPlayer(SilentCard(RATE))
    first.start(LOOP)
    first.start(LOOP)
    second.start(LOOP)
    first.close()
    first.close()
    assert is_undisturbed()
    second.close()
    assert not is_undisturbed()


@pytest.mark.usefixtures("seldom_collected")
def test_what_is_set_before_and_while_somebody_listens_holds_afterwards() -> None:
    player = CardPlayer(SilentCard(RATE))
    player.start(LOOP)
    player.stop()
    assert gc.get_threshold() == (200_000, 10, 10)
    player.start(LOOP)
    gc_pause.use_session_thresholds()
    assert is_undisturbed()
    player.close()
    assert gc.get_threshold() == gc_pause.IN_A_SESSION
    assert gc.get_freeze_count() == 0


def test_those_who_are_forgotten_leave_nothing_behind_for_the_next() -> None:
    usual = gc.get_threshold()
    forgotten = CardPlayer(SilentCard(RATE))
    forgotten.start(LOOP)
    forgotten._card.close()
    del forgotten
    gc.unfreeze()
    gc.collect()
    player = CardPlayer(SilentCard(RATE))
    player.start(LOOP)
    player.close()
    assert gc.get_threshold() == usual
    assert gc.get_freeze_count() == 0

"""What is made ahead of the card is what would be made now, or is not there at all."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.sound.sound_source import Rendered
from companion.sound.stream import AHEAD_SECONDS, LOOKS_AFTER_SECONDS, BlockMaker, BlockStream
from tests.sound.music import RATE, noise

BLOCK = 1200


@pytest.fixture
def ahead() -> Iterator[BlockMaker]:
    made = BlockMaker(RATE)
    yield made
    made.close()


def until(is_so: Callable[[], bool]) -> None:
    """Let time pass until something is so; a minute without it is a fault."""
    patience = time.monotonic() + 60
    while not is_so():
        assert time.monotonic() < patience
        time.sleep(0.001)


def taken(ahead: BlockMaker, source: Rendered, first: int) -> NDArray[np.int16]:
    """A block that was made ahead: the one after a block that was asked for in vain."""
    while True:
        ahead.take(source, first - BLOCK, BLOCK)
        time.sleep(LOOKS_AFTER_SECONDS)
        block = ahead.take(source, first, BLOCK)
        if block is not None:
            return block


def test_what_is_taken_is_what_the_source_gives(ahead: BlockMaker) -> None:
    source = noise(9600, seed=3, loop_from=500)
    for first in range(BLOCK, 30_000, 7 * BLOCK // 5):
        assert np.array_equal(taken(ahead, source, first), source.read(first, BLOCK))


def test_a_jump_and_another_source_are_followed(ahead: BlockMaker) -> None:
    source, other = noise(RATE, seed=4, loop_from=0), noise(RATE, seed=5, loop_from=0)
    for heard, first in ((source, BLOCK), (source, 40_000), (other, 40_000), (source, 7)):
        assert np.array_equal(taken(ahead, heard, first), heard.read(first, BLOCK))


def test_nothing_is_ready_that_was_not_asked_for_before(ahead: BlockMaker) -> None:
    assert ahead.take(noise(RATE, seed=6), 0, BLOCK) is None


def test_it_does_not_run_away_from_the_card(ahead: BlockMaker) -> None:
    asked: list[int] = []

    class Counting(Rendered):
        def read(self, first: int, count: int) -> NDArray[np.int16]:
            asked.append(first + count)
            return super().read(first, count)

    ahead.take(Counting(np.zeros((RATE, 2), np.int16), RATE, 0), 0, BLOCK)
    until(lambda: bool(asked) and asked[-1] >= AHEAD_SECONDS * RATE)
    time.sleep(0.1)
    assert asked[-1] < 2 * AHEAD_SECONDS * RATE


def test_a_source_that_cannot_be_read_fails_where_it_is_told() -> None:
    class Broken(Rendered):
        def read(self, first: int, count: int) -> NDArray[np.int16]:
            raise RuntimeError("no more rosin")

    made = BlockMaker(RATE)
    stream = BlockStream(RATE, made)
    source = Broken(np.zeros((RATE, 2), np.int16), RATE, 0)
    assert made.take(source, 0, BLOCK) is None
    time.sleep(0.05)
    stream.order(lambda next_sound: type(next_sound)(source, 0, True), soften=False)
    assert not stream.block(BLOCK).any()
    assert "no more rosin" in stream.marks[-1].next_sound.failure
    made.close()


def test_closed_it_leaves_no_thread() -> None:
    before = threading.active_count()
    made = BlockMaker(RATE)
    made.take(noise(RATE, seed=7), 0, BLOCK)
    assert threading.active_count() == before + 1
    made.close()
    assert threading.active_count() == before

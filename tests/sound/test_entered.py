"""Music entered in its middle: the counting, then the music from the right frame on."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from companion.sound.combined_sources import CountInSource
from tests.sound.music import noise

LEAD = noise(700, seed=1).samples
MUSIC = noise(2000, seed=3, loop_from=500)


def entered(at: int = 1200) -> CountInSource:
    return CountInSource(LEAD, MUSIC, at)


def test_the_counting_comes_first_and_the_music_follows_without_a_gap() -> None:
    heard = entered().read(0, 1700)
    assert np.array_equal(heard[:700], LEAD)
    assert np.array_equal(heard[700:], MUSIC.read(1200, 1000))


@given(st.integers(-900, 4000), st.lists(st.integers(1, 900), min_size=1, max_size=5))
def test_blocks_of_any_size_give_the_same_sound(first: int, sizes: list[int]) -> None:
    whole = entered().read(first, sum(sizes))
    pieces, at = [], first
    for size in sizes:
        pieces.append(entered().read(at, size))
        at += size
    assert np.array_equal(whole, np.concatenate(pieces))


def test_frames_of_the_music_are_found_again() -> None:
    assert entered().frame(1200) == 700
    assert entered().music_frame(700) == 1200
    assert entered().frame(entered().music_frame(3333)) == 3333


def test_what_came_before_the_entry_cannot_be_reached() -> None:
    assert entered().frame(40) == 700


def test_it_lasts_as_long_as_the_music_after_the_entry() -> None:
    once = CountInSource(LEAD, noise(2000, seed=3), 1200)
    assert once.length == 700 + 800
    assert entered().length is None
    assert not once.read(1500, 10).any()

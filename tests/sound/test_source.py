"""Sound that can be read at any frame, in any portions, once or round and round."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.sound.sound_source import Rendered, Source
from tests.sound.music import RATE, Samples, noise


def numbered(count: int, loop_from: int | None = None) -> Rendered:
    """Frames that carry their own number, from 1 on."""
    left = np.arange(1, count + 1, dtype=np.int16)
    return Rendered(np.stack([left, -left], axis=1), RATE, loop_from)


def numbers(samples: Samples) -> list[int]:
    assert np.array_equal(samples[:, 0], -samples[:, 1])
    return [int(number) for number in samples[:, 0]]


def test_a_count_in_is_read_once_and_the_passage_for_ever() -> None:
    loop: Source = numbered(8, loop_from=4)
    assert numbers(loop.read(0, 18)) == [1, 2, 3, 4, *[5, 6, 7, 8] * 3, 5, 6]
    assert loop.length is None


def test_what_plays_once_is_followed_by_silence() -> None:
    once: Source = numbered(3)
    assert numbers(once.read(1, 5)) == [2, 3, 0, 0, 0]
    assert numbers(once.read(100, 2)) == [0, 0]
    assert once.length == 3


def test_before_the_start_there_is_silence() -> None:
    assert numbers(numbered(3).read(-2, 4)) == [0, 0, 1, 2]
    assert numbers(numbered(3, loop_from=1).read(-2, 8)) == [0, 0, 1, 2, 3, 2, 3, 2]


def test_the_place_of_a_playhead() -> None:
    once, loop = numbered(8), numbered(8, loop_from=4)
    assert [once.place(frame) for frame in (-1, 0, 7, 8, 9)] == [0, 0, 7, 8, 8]
    assert [loop.place(frame) for frame in (-1, 0, 7, 8, 11, 12)] == [0, 0, 7, 4, 7, 4]


def test_no_music_at_all_is_silence() -> None:
    assert numbers(numbered(0).read(0, 3)) == [0, 0, 0]


frames = st.integers(1, 40)


@given(frames, st.none() | st.integers(0, 39), st.lists(st.integers(0, 30), max_size=12))
def test_any_portions_make_the_same_whole(
    count: int, loop_from: int | None, portions: list[int]
) -> None:
    source = numbered(count, None if loop_from is None else loop_from % count)
    read = [source.read(sum(portions[:n]), portion) for n, portion in enumerate(portions)]
    whole = source.read(0, sum(portions))
    assert np.array_equal(np.concatenate([source.read(0, 0), *read]), whole)


@given(frames, st.integers(0, 39), st.integers(0, 10**12))
def test_every_frame_is_the_sample_at_its_place(count: int, loop_from: int, frame: int) -> None:
    loop = numbered(count, loop_from % count)
    assert np.array_equal(loop.read(frame, 1)[0], loop.samples[loop.place(frame)])


@given(frames, st.integers(0, 39), st.integers(0, 10**6))
def test_once_round_the_loop_is_the_same_place(count: int, loop_from: int, frame: int) -> None:
    loop = numbered(count, loop_from % count)
    around = count - loop_from % count
    frame += loop_from % count
    assert loop.place(frame + around) == loop.place(frame)


def test_nobody_can_change_what_is_being_played() -> None:
    drawn = np.ones((4, 2), dtype=np.int16)
    kept = Rendered(drawn, RATE)
    drawn[:] = 9
    assert not (kept.read(0, 4) == 9).any()
    with pytest.raises(ValueError, match="read-only"):
        kept.samples[0, 0] = 5


def test_what_is_already_unchangeable_is_not_copied() -> None:
    samples = noise(10, seed=1).samples
    assert Rendered(samples, RATE).samples is samples


@pytest.mark.parametrize(
    "samples",
    [np.zeros((4, 2)), np.zeros(8, np.int16), np.zeros((4, 1), np.int16)],
    ids=["not 16 bits", "no channels", "one channel"],
)
def test_only_sixteen_bit_stereo_is_taken(samples: Samples) -> None:
    with pytest.raises(ValueError, match="int16 of shape"):
        Rendered(samples, RATE)


@pytest.mark.parametrize("loop_from", [-1, 4, 5])
def test_a_loop_starts_inside_the_sound(loop_from: int) -> None:
    with pytest.raises(ValueError, match="loop from"):
        Rendered(np.zeros((4, 2), np.int16), RATE, loop_from)


def test_less_than_nothing_cannot_be_read() -> None:
    with pytest.raises(ValueError, match="-1 frames"):
        numbered(4).read(0, -1)

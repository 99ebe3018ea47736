"""Blocks without a hole, and the joints between them."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.sound.card import paused, resumed, started, stopped, swapped
from companion.sound.sound_source import Rendered, Source
from companion.sound.stream import BlockStream
from tests.sound.music import RATE, Broken, Samples, Short, noise

FADE = 240
"""5 ms at 48 kHz."""
A = noise(4000, seed=7)
B = noise(5000, seed=9)
LOOP = noise(900, seed=11, loop_from=300)


def playing(source: Source, at: int = 0) -> BlockStream:
    stream = BlockStream(RATE)
    stream.order(started(source, at, 1), soften=False)
    return stream


def same(heard: Samples, wanted: Samples) -> bool:
    return np.array_equal(heard, wanted)


def steady(level: int, frames: int) -> Rendered:
    return Rendered(np.full((frames, 2), level, np.int16), RATE)


@given(st.lists(st.integers(1, 700), max_size=12))
def test_blocks_of_any_size_make_the_same_music(sizes: list[int]) -> None:
    stream = playing(LOOP)
    blocks = [stream.block(size) for size in sizes]
    assert [len(block) for block in blocks] == sizes
    assert same(np.concatenate([LOOP.read(0, 0), *blocks]), LOOP.read(0, sum(sizes)))


def test_before_anything_is_put_on_there_is_silence() -> None:
    assert not BlockStream(RATE).block(100).any()


@given(st.integers(1, 1200), st.integers(1, 1200))
def test_a_pause_anywhere_loses_no_frame(before: int, size: int) -> None:
    stream = playing(A)
    assert same(stream.block(before), A.read(0, before))
    stream.order(paused, soften=True)
    silence = np.concatenate([stream.block(size) for _ in range(1 + 2 * FADE // size)])
    assert not silence[FADE:].any()
    stream.order(resumed, soften=True)
    again = np.concatenate([stream.block(size) for _ in range(1 + 2 * FADE // size)])
    assert same(again[FADE:], A.read(before + FADE, len(again) - FADE))


def test_a_fade_is_a_straight_line() -> None:
    stream = playing(steady(24000, 4000))
    stream.block(1000)
    stream.order(paused, soften=True)
    assert same(stream.block(FADE)[:, 0], np.arange(24000, 0, -100, dtype=np.int16))
    stream.block(1000)
    stream.order(resumed, soften=True)
    assert same(stream.block(FADE)[:, 0], np.arange(0, 24000, 100, dtype=np.int16))


def test_a_swap_between_equal_levels_keeps_the_level() -> None:
    stream = playing(steady(12345, 4000))
    stream.block(500)
    stream.order(swapped(steady(12345, 9000), lambda frame: 2 * frame, 2), soften=True)
    assert (stream.block(1000) == 12345).all()


@given(st.integers(1, 600), st.integers(1, 500))
def test_a_swap_to_the_same_music_changes_no_sample(before: int, size: int) -> None:
    stream = playing(LOOP)
    heard = [stream.block(before)]
    for order in range(2, 6):
        stream.order(swapped(noise(900, 11, 300), lambda frame: frame, order), soften=True)
        heard.append(stream.block(size))
    assert same(np.concatenate(heard), LOOP.read(0, before + 4 * size))


def test_an_attack_out_of_silence_is_not_softened() -> None:
    bars = np.zeros((2000, 2), np.int16)
    bars[1001:1100] = 20000
    stroke = Rendered(bars, RATE)
    stream = playing(steady(9000, 4000))
    stream.block(300)
    stream.order(swapped(stroke, lambda frame: 1000, 2), soften=True)
    stream.order(paused, soften=True)
    stream.block(1000)
    stream.order(resumed, soften=True)
    assert same(stream.block(1000), stroke.read(1000, 1000))


def test_a_start_over_other_music_enters_at_full_strength() -> None:
    stream = playing(steady(9000, 4000))
    stream.block(300)
    stream.order(started(steady(100, 4000), 0, 2), soften=False)
    entry = stream.block(FADE + 10)[:, 0]
    assert (entry[0], entry[FADE]) == (9100, 100)
    assert (np.diff(entry) <= 0).all()


def test_two_loud_sounds_on_top_of_each_other_do_not_wrap_round() -> None:
    stream = playing(steady(32767, 4000))
    stream.block(300)
    stream.order(started(steady(32767, 4000), 0, 2), soften=False)
    assert (stream.block(500) == 32767).all()


def test_every_order_in_one_block_is_carried_out_in_turn() -> None:
    stream = playing(A, at=50)
    stream.order(swapped(B, lambda frame: frame + 1000, 2), soften=True)
    stream.order(paused, soften=True)
    stream.order(resumed, soften=True)
    assert same(stream.block(600)[FADE:], B.read(1050 + FADE, 600 - FADE))
    assert [mark.next_sound.frame for mark in stream.marks[1:]] == [50, 1050, 1050, 1050]


def test_a_stop_forgets_the_music() -> None:
    stream = playing(A)
    stream.block(100)
    stream.order(stopped, soften=True)
    assert not stream.block(1000)[FADE:].any()
    assert stream.marks[-1].next_sound.source is None


@pytest.mark.parametrize("size", [1, 7, 240, 1200])
def test_music_that_breaks_off_ends_in_silence_of_the_right_size(size: int) -> None:
    stream = playing(Broken(A, at=2000))
    heard = np.concatenate([stream.block(size) for _ in range(3000 // size)])
    whole = 2000 // size * size
    assert same(heard[:whole], A.read(0, whole))
    assert not heard[whole:].any()
    assert stream.marks[-1].next_sound.failure == "The sound stopped: the page is torn (OSError)."
    assert stream.marks[-1].next_sound.frame == whole


def test_a_block_of_the_wrong_size_is_not_handed_on() -> None:
    stream = playing(Short(A))
    assert same(stream.block(480), np.zeros((480, 2), np.int16))
    failure = stream.marks[-1].next_sound.failure
    assert failure.startswith("Asked for 240 frames of sound, the source gave int16 of shape (239")


def test_after_a_failure_only_a_start_is_heeded() -> None:
    stream = playing(Broken(A, at=0))
    stream.block(100)
    for turn in (resumed, swapped(B, lambda frame: frame, 2), paused):
        stream.order(turn, soften=True)
        assert not stream.block(300).any()
        assert stream.marks[-1].next_sound.failure
    stream.order(started(B, 0, 3), soften=False)
    assert same(stream.block(500), B.read(0, 500))
    assert not stream.marks[-1].next_sound.failure


def test_a_start_is_heeded_even_where_the_old_music_can_no_longer_be_read() -> None:
    stream = playing(Broken(A, at=1000))
    assert same(stream.block(1000), A.read(0, 1000))
    stream.order(started(B, 0, 2), soften=False)
    assert same(stream.block(500), B.read(0, 500))


@given(st.lists(st.integers(-300, 300), min_size=1, max_size=20))
def test_a_joint_leaves_no_step_larger_than_the_music_has(moves: list[int]) -> None:
    slope = np.arange(48000, dtype=np.float64)
    tone = np.rint(8000 * np.sin(2 * np.pi * 220 * slope / RATE)).astype(np.int16)
    tones = Rendered(np.stack([tone, tone], axis=1), RATE, loop_from=0)
    stream = playing(tones)
    heard = [stream.block(777)]
    for move in moves:
        stream.order(swapped(tones, partial(int.__add__, move), 2), soften=True)
        heard.append(stream.block(777))
    steps = np.abs(np.diff(np.concatenate(heard)[:, 0].astype(int)))
    # The tone itself moves by 231 at most; two of them changing places in 240 frames
    # add no more than 16000 / 240 = 67 to that.
    assert steps.max() <= 2 * 231 + 67

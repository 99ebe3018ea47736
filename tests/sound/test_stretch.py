"""Stretches handed to a card whole, and taken back while they play."""

from __future__ import annotations

import numpy as np

from companion.sound.card import NextSound
from companion.sound.simpleaudio_card import PlayingPiece, render_piece
from tests.sound.music import RATE, noise

FADE = 240
"""5 ms at 48 kHz."""
MUSIC = noise(6000, seed=1)
LOOP = noise(900, seed=3, loop_from=300)


class Handle:
    """Stands where the library's handle would: whether it still plays is set by hand."""

    def __init__(self, plays: bool) -> None:
        self.plays = plays

    def is_playing(self) -> bool:
        return self.plays


def handed_over(plays: bool = True) -> PlayingPiece:
    samples = render_piece(NextSound(MUSIC, 0, moving=True), 0, 10**6, soften=False)
    return PlayingPiece(samples, card=1000, end=7000, rate=RATE, playing=Handle(plays))


def test_what_remains_is_rendered_after_the_silence_in_front() -> None:
    samples = render_piece(NextSound(MUSIC, 5000, moving=True), 70, 10**6, soften=False)
    assert not samples[:70].any()
    assert np.array_equal(samples[70:], MUSIC.read(5000, 1000))


def test_what_never_ends_is_rendered_as_far_as_allowed() -> None:
    samples = render_piece(NextSound(LOOP, 200, moving=True), 0, 5000, soften=False)
    assert np.array_equal(samples, LOOP.read(200, 5000))


def test_an_entry_in_mid_course_is_faded_in() -> None:
    samples = render_piece(NextSound(MUSIC, 1000, moving=True), 10, 3000, soften=True)
    assert not samples[10].any()
    assert (np.abs(samples[10 : 10 + FADE]) <= np.abs(MUSIC.read(1000, FADE))).all()
    assert np.array_equal(samples[10 + FADE :], MUSIC.read(1000 + FADE, 3000 - FADE))


def test_a_stretch_taken_back_fades_out_and_is_silent() -> None:
    stretch = handed_over()
    stretch.take_back(3000)
    assert np.array_equal(stretch.samples[:2000], MUSIC.read(0, 2000))
    assert stretch.samples[2000].any()
    assert not stretch.samples[2000 + FADE :].any()
    assert stretch.end == 3000 + FADE


def test_a_stretch_that_has_not_begun_is_taken_back_whole() -> None:
    stretch = handed_over()
    stretch.samples[:FADE] = 0
    stretch.take_back(500)
    assert not stretch.samples.any()


def test_a_stretch_that_has_been_heard_is_left_alone() -> None:
    stretch = handed_over()
    stretch.take_back(9000)
    assert np.array_equal(stretch.samples, MUSIC.read(0, 6000))
    assert stretch.end == 7000


def test_a_stretch_that_falls_silent_early_has_broken_off() -> None:
    stretch = handed_over(plays=False)
    assert stretch.broke_off(7000 - RATE - 1)
    assert not stretch.broke_off(6000)
    assert not handed_over(plays=True).broke_off(7000 - RATE - 1)


def test_a_stretch_lasts_until_heard_and_let_go_by_the_library() -> None:
    assert handed_over(plays=True).lasts(9000)
    assert handed_over(plays=False).lasts(6999)
    assert not handed_over(plays=False).lasts(7000)

"""Who plays along, in words, and mixed with the click."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import Layer
from companion.click.plan.plan import ClickPlan, planned
from companion.click.plan.tempo_plan import Fixed
from companion.click.plan.timbres import ToneName
from companion.click.synth import drone, ensemble
from companion.click.synth.render import render
from companion.errors import CompanionError, RequestError
from companion.session import accompaniment
from companion.session.accompaniment import (
    Accompaniment,
    accompaniment_in_words,
    blocks_along,
    parse_accompaniment,
    parts_named,
)
from tests.click.hearing import true_peak
from tests.click.soundfont import soundfont
from tests.session.small_scores import three_against_two, whole

STAND = three_against_two(4)
SCORE = STAND.score
"""Violin I, Violin II, Viola, Cello."""


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("all", Accompaniment((1, 2, 3))),
        ("cello, viola", Accompaniment((2, 3))),
        ("Violin II, plucked", Accompaniment((1,), ToneName.PLUCKED)),
        ("cello, A=415", Accompaniment((3,), a=415.0)),
        ("cello, a 442, plain", Accompaniment((3,), ToneName.PLAIN, 442.0)),
        ("drone A3", Accompaniment((), drone=57)),
        ("all, drone B♭2, A=430", Accompaniment((1, 2, 3), a=430.0, drone=46)),
        ("nobody", Accompaniment()),
        ("", Accompaniment()),
        ("4", Accompaniment((3,))),
    ],
)
def test_company_is_asked_for_in_words(words: str, wanted: Accompaniment) -> None:
    assert parse_accompaniment(SCORE, 0, words) == wanted


@pytest.mark.parametrize(
    "accompaniment",
    [
        Accompaniment(),
        Accompaniment((1, 2, 3)),
        Accompaniment((3,), ToneName.PLUCKED, 415.0, 57),
        Accompaniment((), drone=46),
        Accompaniment((1, 2), a=442.0),
    ],
)
def test_what_is_set_is_told_in_the_same_words(accompaniment: Accompaniment) -> None:
    assert (
        parse_accompaniment(SCORE, 0, accompaniment_in_words(accompaniment, SCORE, 0))
        == accompaniment
    )


@pytest.mark.parametrize("words", ["violin i", "1", "flute", "violin", "bowed", "A=500", "drone H"])
def test_what_cannot_be_meant_is_refused(words: str) -> None:
    with pytest.raises(RequestError):
        parse_accompaniment(SCORE, 0, words)


def test_a_font_is_asked_for_and_told_in_words(tmp_path: Path) -> None:
    pytest.importorskip("tinysoundfont")
    place = soundfont(tmp_path / "sines.sf2", {48: 0})
    accompaniment = parse_accompaniment(SCORE, 0, f"all, font {place}, A=415")
    assert accompaniment == Accompaniment((1, 2, 3), a=415.0, font=place)
    assert (
        parse_accompaniment(SCORE, 0, accompaniment_in_words(accompaniment, SCORE, 0))
        == accompaniment
    )


@pytest.mark.parametrize("words", ["all, font /nowhere.sf2", "all, font ~nobody-at-all/x.sf2"])
def test_a_font_that_is_not_there_is_refused_at_once(words: str) -> None:
    with pytest.raises(CompanionError):
        parse_accompaniment(SCORE, 0, words)


def test_all_never_means_me() -> None:
    assert parts_named(SCORE, 2, "all") == (0, 1, 3)


def plan(*layers: Layer) -> ClickPlan:
    click_settings = ClickSettings(
        Fixed(Fraction(60)), layers or (Layer.BEAT,), count_in=1, repeat=2
    )
    return planned(whole(STAND), STAND.conflicts, click_settings)


def test_room_is_kept_for_what_the_others_can_come_to() -> None:
    assert accompaniment.OTHERS_REACH == ensemble.BUDGET
    assert accompaniment.DRONE_REACH == drone.LEVEL


def test_a_file_with_nobody_is_the_click_alone() -> None:
    made = np.concatenate(list(blocks_along(plan(), whole(STAND), Accompaniment(), 48000)))
    assert np.array_equal(made, render(plan(), 48000))


def test_a_file_with_accompaniment_is_as_long_as_the_click_and_never_too_loud() -> None:
    # −1 dBFS true peak (EBU R 128, from memory); four times oversampled as BS.1770 measures it.
    accompaniment = Accompaniment((1, 2, 3), ToneName.PLUCKED, 442.0, drone=45)
    every = plan(*Layer)
    made = np.concatenate(list(blocks_along(every, whole(STAND), accompaniment, 48000)))
    assert len(made) == len(render(every, 48000))
    assert true_peak(made) < -1


def test_24_bits_hold_the_same_music() -> None:
    accompaniment = Accompaniment((3,))
    fine = np.concatenate(list(blocks_along(plan(), whole(STAND), accompaniment, 22050, bits=24)))
    coarse = np.concatenate(list(blocks_along(plan(), whole(STAND), accompaniment, 22050)))
    assert fine.dtype == np.int32
    assert np.array_equal(fine >> 8, coarse)

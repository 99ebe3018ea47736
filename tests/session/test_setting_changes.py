"""What a player wishes otherwise in a drill, and what then sounds."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from companion.click.plan.layers import Layer
from companion.click.plan.tempo_plan import Fixed
from companion.click.plan.timbres import ToneName
from companion.click.words.layer_words import layers_in_words, silences_in_words
from companion.errors import RequestError
from companion.practice.attempt import Outcome
from companion.session import setting_changes
from companion.session.accompaniment import Accompaniment
from companion.session.drill import Drill
from companion.session.settings import Setting
from companion.wording.drill_sentences import (
    count_in_told,
    layers_told,
    noted_told,
    others_told,
    tempo_line,
)
from tests.click.hearing import true_peak
from tests.session.small_scores import RATE, Hand, drill_of, folders_in, three_against_two

BAR = 2 * RATE
"""Frames of a bar of two beats at 60."""


@pytest.fixture
def hand() -> Hand:
    return Hand()


@pytest.fixture
def drill(tmp_path: Path, hand: Hand) -> Drill:
    """Four bars of 3 against 2 at 60."""
    return drill_of(three_against_two(4), folders_in(tmp_path), hand)


def heard(drill: Drill, first: int = 0, count: int = 5 * BAR) -> NDArray[np.int16]:
    return drill.render().source.read(first, count)


def request(drill: Drill, setting: Setting) -> None:
    drill.request(setting)
    assert drill.load(drill.render())


def attempt(drill: Drill, hand: Hand, outcome: Outcome) -> str:
    drill.start()
    hand.push(30)
    drill.pause()
    noted = drill.attempt(outcome)
    return noted_told(drill, noted)


def test_a_ladder_climbs_when_an_attempt_held(drill: Drill, hand: Hand) -> None:
    request(drill, setting_changes.with_plan(drill.setting, "60 to 68 by 4, twice each"))
    assert tempo_line(drill) == "Tempo: dotted quarter = 60 · step 1 of 3 to 68 (p)"
    drill.start()
    hand.push(2 + 9)
    drill.attempt(Outcome.HELD)
    assert drill.bpm == 60, "once through is not twice"
    told = attempt(drill, hand, Outcome.SECURE)
    assert drill.bpm == 64
    assert told.endswith("The ladder goes on at dotted quarter = 64.")
    assert tempo_line(drill) == "Tempo: dotted quarter = 64 · step 2 of 3 to 68 (p)"


def test_the_attempt_is_noted_at_the_step_it_was_played_on(drill: Drill, hand: Hand) -> None:
    request(drill, setting_changes.with_plan(drill.setting, "60 to 68 by 4"))
    assert "held at dotted quarter = 60" in attempt(drill, hand, Outcome.HELD)
    assert "shaky at dotted quarter = 64" in attempt(drill, hand, Outcome.SHAKY)


def test_a_step_that_was_not_played_through_is_not_left(drill: Drill, hand: Hand) -> None:
    request(drill, setting_changes.with_plan(drill.setting, "60 to 68 by 4"))
    drill.start()
    hand.push(2 + 5)
    with pytest.raises(RequestError, match="not played through"):
        drill.attempt(Outcome.HELD)
    assert drill.bpm == 60
    hand.push(8)
    drill.attempt(Outcome.HELD)
    assert drill.load(drill.render())
    hand.push(3)
    with pytest.raises(RequestError, match="not played through"):
        drill.attempt(Outcome.HELD)
    assert drill.bpm == 64


def test_after_a_failed_attempt_a_ladder_does_what_it_was_told(drill: Drill, hand: Hand) -> None:
    for words, wanted in (
        ("60 to 90 by 10", 70),
        ("60 to 90 by 10, else back one", 60),
        ("50 to 90 by 10, else from the start", 50),
    ):
        request(drill, setting_changes.with_plan(drill.setting, words))
        while drill.bpm < 70:
            attempt(drill, hand, Outcome.HELD)
        attempt(drill, hand, Outcome.FELL_APART)
        assert drill.bpm == wanted


def test_another_tempo_by_hand_leaves_the_ladder(drill: Drill) -> None:
    request(drill, setting_changes.with_plan(drill.setting, "60 to 68 by 4"))
    request(drill, setting_changes.at_tempo(drill.setting, drill.bpm + 1))
    assert drill.setting.ladder is None
    assert drill.setting.tempo == Fixed(Fraction(61))


def test_a_ramp_tells_the_tempo_that_is_on(drill: Drill, hand: Hand) -> None:
    request(drill, setting_changes.with_plan(drill.setting, "60 to 120 over 2 times"))
    drill.start()
    assert tempo_line(drill) == "Tempo: dotted quarter = 60 to 120 over 2 times, now 60 (p)"
    hand.push(300)
    assert tempo_line(drill).endswith("now 120 (p)")


def test_words_that_mean_nothing_change_nothing(drill: Drill) -> None:
    before = drill.setting
    with pytest.raises(RequestError, match="not a tempo|tempo plan|beats a minute"):
        setting_changes.with_plan(before, "quickly")
    with pytest.raises(RequestError, match="“now” is no word of a silence"):
        setting_changes.with_silences(before, "now and then")
    with pytest.raises(RequestError, match="not a layer"):
        setting_changes.with_layers_named(before, drill.open_score, drill.passage, "drums")
    with pytest.raises(RequestError, match="no part"):
        setting_changes.with_accompaniment(before, drill.open_score, drill.passage, "flute")
    assert drill.setting == before


def test_every_fourth_bar_is_silent(drill: Drill) -> None:
    drill.request(setting_changes.with_silences(drill.setting, "every 4"))
    # One bar of count-in, then three bars that sound.
    sounding = heard(drill, 0, 9 * BAR)
    loud = [bool(sounding[bar * BAR : (bar + 1) * BAR].any()) for bar in range(9)]
    # What rings of the third bar is over when the fourth begins: the last stroke is early.
    assert loud == [True, True, True, True, False, True, True, True, False]
    assert count_in_told(drill) == "Count-in: 1 bar (c) · silences: every 4 bars (x)"


def test_silences_are_taken_away_again(drill: Drill) -> None:
    before = drill.setting
    several = setting_changes.with_silences(before, "every 4, theirs only")
    assert len(several.silences) == 2
    assert silences_in_words(several.silences) == "every 4 bars, theirs only"
    for words in ("none", "", " , "):
        assert setting_changes.with_silences(several, words) == before


@pytest.mark.parametrize(
    "words", ["every 3 beats", "growing to 4 bars", "random 0.3 bars", "mine only", "none"]
)
def test_silences_are_told_in_the_words_they_are_asked_for(drill: Drill, words: str) -> None:
    silences = setting_changes.with_silences(drill.setting, words).silences
    again = setting_changes.with_silences(drill.setting, silences_in_words(silences)).silences
    assert again == silences


def test_layers_without_a_key_are_named_in_words(drill: Drill) -> None:
    words = "beat, coincidence, rhythm:cello"
    drill.request(
        setting_changes.with_layers_named(drill.setting, drill.open_score, drill.passage, words)
    )
    assert layers_told(drill).endswith("r resultant off  coincidence ON  rhythm:Cello ON")
    assert layers_in_words(drill.setting.layers) == "beat, coincidence, rhythm:Cello"
    drill.request(setting_changes.toggled(drill.setting, Layer.THEIRS))
    assert len(drill.setting.layers) == 4


def test_the_others_come_with_one_key_and_go_with_it(drill: Drill) -> None:
    assert others_told(drill) == "Others: off (o on, O who) · more layers (w)"
    alone = heard(drill)
    drill.request(
        setting_changes.with_others_toggled(drill.setting, drill.open_score, drill.passage)
    )
    assert others_told(drill) == "Others: ON (o off, O who): all"
    along = heard(drill)
    assert not np.array_equal(alone, along)
    drill.request(
        setting_changes.with_others_toggled(drill.setting, drill.open_score, drill.passage)
    )
    assert np.array_equal(heard(drill), alone)


def test_nobody_plays_along_while_it_counts_in(drill: Drill) -> None:
    alone = heard(drill, 0, BAR)
    drill.request(
        setting_changes.with_accompaniment(
            drill.setting, drill.open_score, drill.passage, "cello, plucked"
        )
    )
    assert np.array_equal(heard(drill, 0, BAR), alone)


def test_the_others_alone_are_what_is_left_when_the_click_is_taken_off(drill: Drill) -> None:
    click = heard(drill).astype(int)
    drill.request(
        setting_changes.with_accompaniment(drill.setting, drill.open_score, drill.passage, "viola")
    )
    viola = heard(drill) - click
    # The viola rests in the first half of each bar and holds in the second.
    rest, held = viola[BAR + 100 : BAR + BAR // 2], viola[BAR + BAR // 2 + 2400 : 2 * BAR - 4800]
    assert np.abs(rest).max() <= 1
    assert np.abs(held).max() > 200


@pytest.mark.parametrize("words", ["all, plucked, drone A3", "all", "drone C2, A=445"])
def test_everything_at_once_stays_under_the_ceiling(drill: Drill, words: str) -> None:
    # −1 dBFS true peak (EBU R 128, from memory); four times oversampled as BS.1770 measures it.
    every = "beat, division, mine, theirs, resultant, bar, coincidence, rhythm, rhythm:cello"
    setting = setting_changes.with_layers_named(
        drill.setting, drill.open_score, drill.passage, every
    )
    drill.request(
        setting_changes.with_accompaniment(setting, drill.open_score, drill.passage, words)
    )
    assert true_peak(heard(drill)) < -1


def test_company_that_is_nobody_turns_the_others_off(drill: Drill) -> None:
    both = setting_changes.with_accompaniment(
        drill.setting, drill.open_score, drill.passage, "cello"
    )
    assert both.are_others_on
    none = setting_changes.with_accompaniment(both, drill.open_score, drill.passage, "nobody")
    assert not none.are_others_on


def test_who_plays_is_forgotten_by_nobody_and_how_they_sound_is_not(drill: Drill) -> None:
    plucked = setting_changes.with_accompaniment(
        drill.setting, drill.open_score, drill.passage, "cello, plucked"
    )
    none = setting_changes.with_accompaniment(plucked, drill.open_score, drill.passage, "nobody")
    assert (none.accompaniment.parts, none.accompaniment.tone) == ((), ToneName.PLUCKED)


def test_a_font_that_is_none_is_told_when_the_others_are_turned_on(
    drill: Drill, tmp_path: Path
) -> None:
    font = tmp_path / "no.sf2"
    font.write_bytes(b"no font")
    setting = replace(drill.setting, accompaniment=Accompaniment(font=font))
    with pytest.raises(RequestError, match=r"no\.sf2|SoundFont|tinysoundfont"):
        setting_changes.with_others_toggled(setting, drill.open_score, drill.passage)
    sounding = replace(setting, are_others_on=True)
    assert not setting_changes.with_others_toggled(
        sounding, drill.open_score, drill.passage
    ).are_others_on

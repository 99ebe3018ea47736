"""A beat without a score: its strokes, its tempo, and minutes instead of attempts."""

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from companion.click.plan.click_settings import ClickSettings
from companion.click.plan.layers import Layer
from companion.click.plan.plan import planned
from companion.click.plan.tempo_plan import Fixed, Ladder
from companion.errors import RequestError
from companion.files.folders import Folders
from companion.journal.log_entries import logged, logged_entries
from companion.practice.entry import Activity
from companion.session.plain_beat import (
    BeatDrill,
    BeatWords,
    last_beat,
    passage_of_beat,
    plain_beat,
    setting_of_beat,
    tapped_bpm,
)
from tests.session.small_scores import Hand, folders_in, silent


def struck(text: str) -> list[Fraction]:
    """Where the usual layers strike in one bar, in felt beats, each place once."""
    beat = plain_beat(text)
    open_score, bar = passage_of_beat(beat)
    setting = setting_of_beat(beat, BeatWords("60"))
    settings = ClickSettings(Fixed(Fraction(60)), setting.layers)
    plan = planned(bar, open_score.conflicts, settings)
    return sorted({stroke.at / bar.beat_on_clock for stroke in plan.once})


@pytest.mark.parametrize(
    ("ratio", "durations"),
    [
        ("3:2", "2 1 1 2"),
        ("4:3", "3 1 2 2 1 3"),
        ("5:3", "3 2 1 3 1 2 3"),
        ("7:5", "5 2 3 4 1 5 1 4 3 2 5"),
    ],
)
def test_a_ratio_strikes_the_published_resultant(ratio: str, durations: str) -> None:
    # J. Schillinger, The Schillinger System of Musical Composition (1946), Book I: durations of
    # the resultant over the common cycle.
    mine, beats = (int(number) for number in ratio.split(":"))
    ends = [*struck(ratio), Fraction(beats)]
    assert [(after - before) * mine for before, after in pairwise(ends)] == [
        int(one) for one in durations.split()
    ]


@given(st.integers(1, 16), st.integers(1, 16))
def test_every_ratio_strikes_both_its_sides_and_nothing_else(mine: int, theirs: int) -> None:
    sides = {Fraction(theirs * at, mine) for at in range(mine)} | set(map(Fraction, range(theirs)))
    assert struck(f"{mine}:{theirs}") == sorted(sides)


@pytest.mark.parametrize(
    ("text", "beats"),
    [
        ("4/4", [0, 1, 2, 3]),
        ("6/8", [0, 1]),
        ("3+2+2/8", [0, 1, Fraction(5, 3)]),  # of its first beat, a dotted quarter
    ],
)
def test_a_meter_strikes_its_felt_beats(text: str, beats: list[Fraction]) -> None:
    assert struck(text) == beats


@pytest.mark.parametrize("text", ["3:0", "17:2", "3:2:1", "x", "6/0", ""])
def test_what_is_no_beat_is_refused(text: str) -> None:
    with pytest.raises(RequestError):
        plain_beat(text)


@given(st.integers(40, 240), st.integers(2, 12))
def test_even_taps_give_their_tempo(bpm: int, taps: int) -> None:
    assert tapped_bpm([at * 60 / bpm for at in range(taps)]) == bpm


def test_one_tap_is_no_tempo_and_a_long_wait_begins_anew() -> None:
    assert tapped_bpm([1.0]) is None
    assert tapped_bpm([0.0, 0.5, 20.0]) is None
    assert tapped_bpm([0.0, 0.5, 20.0, 21.0]) == 60


def drill_in(folders: Folders, hand: Hand, text: str, tempo: str) -> BeatDrill:
    beat = plain_beat(text)
    drill = BeatDrill(*passage_of_beat(beat), folders, silent(hand), clock=hand)
    drill.request(setting_of_beat(beat, BeatWords(tempo)))
    drill.load(drill.render())
    return drill


def test_a_ladder_climbs_by_itself(tmp_path: Path) -> None:
    hand = Hand()
    drill = drill_in(folders_in(tmp_path), hand, "1/4", "60 to 120 by 60, twice each")
    assert drill.setting.tempo == Ladder(Fraction(60), Fraction(120), Fraction(60), 2)
    drill.start()
    heard = []
    for _ in range(4):
        hand.push(0.51)
        heard.append(drill.bpm)
    assert heard == [60, 60, 60, 120]  # two beats at 60 take two seconds


def test_minutes_are_logged_as_what_they_were_and_no_attempt_is_made(tmp_path: Path) -> None:
    hand, folders = Hand(), folders_in(tmp_path)
    drill = drill_in(folders, hand, "3:2", "90")
    drill.start()
    hand.push(59)
    assert not drill.is_worth_logging
    hand.push(241)
    drill.pause()
    assert (drill.unrated, drill.so_far(), drill.has_gone_through) == ((), (), False)
    drill.entry(folders, Activity.SCALES)
    [entry] = logged_entries(folders)
    assert (entry.what, entry.seconds, entry.note) == (Activity.SCALES, 300, "beat 3:2")
    assert logged(folders) == [entry]
    assert drill.played == 0


def test_layers_silences_and_a_drone_are_asked_for_in_words() -> None:
    words = BeatWords("60", layers="beat, division", silences="every 4", drone="A3")
    setting = setting_of_beat(plain_beat("6/8"), words)
    assert setting.layers == (Layer.BEAT, Layer.DIVISION)
    assert setting.silences
    assert setting.accompaniment.drone == 57  # A3 is 57 where middle C, C4, is 60 (MIDI 1.0)
    assert setting.are_others_on


def test_a_kept_beat_that_means_nothing_is_the_usual_one(tmp_path: Path) -> None:
    (tmp_path / "beat.json").write_text('{"text": "0/0", "tempo": "fast"}')
    assert last_beat(folders_in(tmp_path)).text == "4/4"

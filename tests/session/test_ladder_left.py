"""A ladder is gone on with where it was left, on another screen and on another day."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import pytest

from companion.click.plan.tempo_plan import Ladder
from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Outcome
from companion.session import setting_changes
from companion.session.drill import Drill
from companion.wording.drill_sentences import ladder_told, tempo_line
from tests.session.small_scores import Hand, drill_of, folders_in, three_against_two

TIME = 4
"""Seconds of two bars at 60."""


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return folders_in(tmp_path)


@pytest.fixture
def hand() -> Hand:
    return Hand()


@pytest.fixture
def enter(folders: Folders, hand: Hand) -> Callable[[], Drill]:
    """Opens the drill of two bars of 3 against 2, as each screen does anew."""
    return lambda: drill_of(three_against_two(), folders, hand)


def with_ladder(drill: Drill, words: str = "40 to 60 by 5") -> None:
    drill.change(setting_changes.with_plan(drill.setting, words))
    assert drill.load(drill.render())


def play(drill: Drill, hand: Hand, outcome: Outcome = Outcome.HELD) -> None:
    """Once through, and how it went."""
    drill.stop()
    drill.start()
    hand.push(float((2 + TIME) * 60 / drill.bpm) + 0.1)
    drill.pause()
    drill.attempt(outcome)
    assert drill.load(drill.render())


def test_the_next_screen_offers_the_step_where_the_ladder_was_left(
    enter: Callable[[], Drill], hand: Hand
) -> None:
    first = enter()
    assert ladder_told(first) == "" and not first.go_on()
    with_ladder(first)
    play(first, hand)
    play(first, hand)
    assert first.bpm == 50
    again = enter()
    assert again.setting.ladder is None, "it is offered, not set"
    assert "g: go on at dotted quarter = 50, where you stopped on " in ladder_told(again)
    assert ladder_told(again).endswith("(started 40; to 60).")
    assert again.go_on()
    assert tempo_line(again) == "Tempo: dotted quarter = 50 · step 3 of 5 to 60 (p)"
    assert again.undo()
    assert again.setting.ladder is None


def test_a_ladder_is_offered_after_its_first_step_and_not_after_its_last(
    enter: Callable[[], Drill], hand: Hand
) -> None:
    first = enter()
    with_ladder(first, "50 to 60 by 5, twice each")
    play(first, hand)
    left = enter().ladder_left
    assert left is not None
    assert left.setting.climb.held == 1, "one of two times through"
    for _ in range(5):
        play(first, hand)
    assert enter().ladder_left is None


def test_an_attempt_corrected_in_the_log_moves_the_step(
    enter: Callable[[], Drill], hand: Hand, folders: Folders
) -> None:
    first = enter()
    with_ladder(first)
    play(first, hand)
    with Log.open(folders.data) as log:
        log.correct(log.attempts()[0].id, outcome=Outcome.SHAKY)
    left = enter().ladder_left
    assert left is not None and left.setting.climb.index == 0


@pytest.mark.parametrize(
    ("hours", "step"),
    [
        (0.2, 3),  # ten past midnight: the same practice day
        (8, 1),  # the next morning: the plan of that day begins it anew
    ],
)
def test_a_ladder_of_todays_plan_goes_on_all_day_also_after_midnight(
    folders: Folders, hand: Hand, hours: float, step: int
) -> None:
    evening = datetime(2026, 3, 2, 23, 58).astimezone()
    ladder = Ladder(Fraction(40), Fraction(60), Fraction(5))
    first = drill_of(three_against_two(), folders, hand, moment=lambda: evening)
    first.climb(ladder, is_for_today=True)
    assert first.load(first.render())
    play(first, hand)
    play(first, hand)
    later = evening + timedelta(hours=hours)
    again = drill_of(three_against_two(), folders, hand, moment=lambda: later)
    again.climb(ladder, is_for_today=True)
    assert f"step {step} of 5" in tempo_line(again)
    assert (again.bpm == 40) == (ladder_told(again) == "")
    left = again.ladder_left
    assert left is not None and left.day == date(2026, 3, 2)
    assert again.undo() is (step > 1)
    assert again.bpm == 40, "from its beginning, if that is wanted"


def test_an_exercises_ladder_goes_on_at_its_own_step_whatever_was_tried(
    enter: Callable[[], Drill], hand: Hand
) -> None:
    first = enter()
    first.change(setting_changes.at_tempo(first.setting, Fraction(52)))
    assert first.load(first.render())
    play(first, hand, Outcome.SHAKY)
    again = enter()
    again.climb(Ladder(Fraction(40), Fraction(60), Fraction(5)))
    assert tempo_line(again) == "Tempo: dotted quarter = 52 · past step 3 of 5 to 60 (p)"
    play(again, hand)
    assert again.bpm == 55


def test_a_damaged_file_of_ladders_offers_nothing(
    enter: Callable[[], Drill], hand: Hand, folders: Folders
) -> None:
    first = enter()
    with_ladder(first)
    play(first, hand)
    (folders.data / "ladders.json").write_text('{"of": {', "utf-8")
    assert enter().ladder_left is None

"""Every passage's standing from a real log, worked out once and again only where it changed."""

from dataclasses import replace
from datetime import date, time
from fractions import Fraction
from pathlib import Path

import pytest

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.mastery_cache import all_standings
from companion.practice.attempt import Outcome
from companion.practice.mastery.standing import state
from companion.practice.mastery.states import MasteryState
from companion.session.goals import set_goal_by
from tests.session.practised import BEGIN, evening, note, opened_for_practice, tried

DAY = date(2026, 3, 4)


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path, tmp_path / "cache")


def states(folders: Folders, day: date = DAY) -> dict[int, MasteryState]:
    return {one.bars.first: state(one, day) for one in all_standings(folders)}


def test_no_log_has_no_passages_and_is_not_begun_by_looking(folders: Folders) -> None:
    assert all_standings(folders) == []
    assert not (folders.data / "practice.db").exists()


def test_goals_and_attempts_make_passages(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    set_goal_by(folders, open_score, "viola", "13-16", Fraction(69), None)
    note(folders, [tried(open_score, 0, (18, 21), 60)])
    assert states(folders) == {14: MasteryState.NEW, 18: MasteryState.TAKING_SHAPE}


def test_a_second_look_says_the_same_as_the_first(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, day, (14, 17), 60 + day) for day in range(3)])
    first = all_standings(folders)
    assert all_standings(folders) == first
    (folders.cache / "standings.msgpack").unlink()
    assert all_standings(folders) == first


def test_a_new_attempt_a_correction_and_a_goal_are_seen_at_once(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    attempts = [tried(open_score, day, (14, 17), 69) for day in range(3)]
    note(folders, attempts)
    assert states(folders) == {14: MasteryState.WITH_CLICK}
    with Log.open(folders.data) as log:
        log.correct(attempts[2].id, outcome=Outcome.SHAKY)
    assert states(folders) == {14: MasteryState.RETURN}
    set_goal_by(folders, open_score, "viola", "13-16", Fraction(80), None)
    assert states(folders) == {14: MasteryState.TAKING_SHAPE}


def test_the_hour_the_day_ends_decides_how_many_days_there_were(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 69)])
    late = evening(0).replace(hour=23, minute=30)
    note(folders, [replace(tried(open_score, 0, (14, 17), 69), at=late.replace(day=3, hour=1))])
    assert all_standings(folders)[0].days == 1
    with Log.open(folders.data) as log:
        log.set_day_ends(time(0))
    assert all_standings(folders)[0].days == 2


def test_a_damaged_cache_is_no_trouble(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    note(folders, [tried(open_score, 0, (14, 17), 69)])
    before = all_standings(folders)
    (folders.cache / "standings.msgpack").write_bytes(b"\x93\x01\xff nonsense")
    assert all_standings(folders) == before


def test_a_concert_is_a_date_in_the_log(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    goal = set_goal_by(folders, open_score, "viola", "13-16", Fraction(69), date(2026, 5, 2))
    again = set_goal_by(folders, open_score, "viola", "17-20", Fraction(69), date(2026, 5, 2))
    assert goal.occasion == again.occasion
    assert {one.aims.by for one in all_standings(folders)} == {date(2026, 5, 2).toordinal()}
    assert BEGIN < date(2026, 5, 2)

"""A week on a page: minutes, passages, what comes."""

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Outcome
from companion.practice.entry import Activity, Entry
from companion.practice.mastery.states import State
from companion.publish.week_page import week_page
from companion.session.goals import set_goal_by
from companion.session.passage_progress import part_progress, weeks_until
from tests.session.practised import VIOLA, evening, note, on_stand, tried


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path, tmp_path / "cache")


def practised(folders: Folders) -> None:
    stand = on_stand(folders)
    set_goal_by(folders, stand, "viola", "14-17", Fraction(69), None)
    note(
        folders,
        [
            tried(stand, 0, (14, 17), 60, Outcome.SHAKY),
            tried(stand, 1, (14, 17), 60),
            tried(stand, 8, (14, 17), 66),
        ],
    )
    with Log.open(folders.data) as log:
        log.entries.say(Entry(what=Activity.SCALES, seconds=600.0, at=evening(2), note="slow"))


def test_a_week_tells_minutes_passages_and_what_was_besides(folders: Folders) -> None:
    practised(folders)
    page = week_page(folders, date(2026, 3, 2), evening(6))
    assert "# Practice, week of 2 March 2026" in page
    assert "**14 minutes** on 3 days." in page
    assert "| 2 | 2 | 10 |  |  |  |  |" in page
    assert "Viola bars 14–17 (printed 13–16) | 2 | 1 |" in page
    assert "- Wed 4, scales, 10 min: slow" in page


def test_another_week_is_another_page(folders: Folders) -> None:
    practised(folders)
    page = week_page(folders, date(2026, 3, 9), evening(9))
    assert "**2 minutes** on 1 day." in page
    assert "Viola bars 14–17 (printed 13–16) | 1 | 1 |" in page
    assert "## Due in the seven days to come" in page


def test_a_week_without_practice_is_told_as_one(folders: Folders) -> None:
    assert "**0 minutes** on 0 days." in week_page(folders, date(2026, 3, 2), evening(1))


def test_weeks_are_counted_back_from_today(folders: Folders) -> None:
    practised(folders)
    weeks = weeks_until(folders, evening(9), 3)
    assert [week.monday for week in weeks] == [
        date(2026, 2, 23),
        date(2026, 3, 2),
        date(2026, 3, 9),
    ]
    assert [round(week.total) for week in weeks] == [0, 14, 2]


def test_a_part_is_told_bar_by_bar(folders: Folders) -> None:
    practised(folders)
    found = part_progress(folders, on_stand(folders), VIOLA, evening(8))
    assert found.heat[13:17] == (State.TAKING_SHAPE,) * 4
    assert found.heat[12] is found.heat[17] is None
    assert found.names[13] == "13"
    assert found.share.bars == sum(found.plays)

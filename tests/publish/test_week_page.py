"""A week on a page: minutes, passages, what comes."""

from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.practice.attempt import Outcome
from companion.practice.entry import Activity, LogEntry
from companion.practice.mastery.states import MasteryState
from companion.publish.week_page import week_page
from companion.session.goals import set_goal_by
from companion.session.passage_progress import part_progress, weeks_until
from tests.session.practised import VIOLA, evening, note, opened_for_practice, tried


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    return Folders(tmp_path, tmp_path / "cache")


def practised(folders: Folders) -> None:
    open_score = opened_for_practice(folders)
    set_goal_by(folders, open_score, "viola", "13-16", Fraction(69), None)
    note(
        folders,
        [
            tried(open_score, 0, (14, 17), 60, Outcome.SHAKY),
            tried(open_score, 1, (14, 17), 60),
            tried(open_score, 8, (14, 17), 66),
        ],
    )
    with Log.open(folders.data) as log:
        log.entries.add(LogEntry(what=Activity.SCALES, seconds=600.0, at=evening(2), note="slow"))


def test_a_week_tells_minutes_passages_and_what_was_besides(folders: Folders) -> None:
    practised(folders)
    page = week_page(folders, date(2026, 3, 2), evening(6))
    assert "# Practice, week of 2 March 2026" in page
    assert "**14 minutes** on 3 days." in page
    assert "| 2 | 2 | 10 |  |  |  |  |" in page
    assert "Viola bars 13–16 | 2 | 1 |" in page
    assert "- Wed 4, scales, 10 min: slow" in page


def test_another_week_is_another_page(folders: Folders) -> None:
    practised(folders)
    page = week_page(folders, date(2026, 3, 9), evening(9))
    assert "**2 minutes** on 1 day." in page
    assert "Viola bars 13–16 | 1 | 1 |" in page
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
    found = part_progress(folders, opened_for_practice(folders), VIOLA, evening(8))
    assert found.heat[13:17] == (MasteryState.TAKING_SHAPE,) * 4
    assert found.heat[12] is found.heat[17] is None
    assert found.names[13] == "13"
    assert found.share.bars == sum(found.plays)

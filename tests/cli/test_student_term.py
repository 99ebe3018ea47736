"""A student's term through commands: a lesson each week, holidays, an illness, a concert.

The days are in 2030, after any day on which the exercise can have been opened.
"""

from __future__ import annotations

from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from companion.cli import today_command
from companion.cli.main import main
from companion.files.folders import Folders, demo_score
from companion.practice.goal import OccasionKind
from companion.practice.mastery.states import MasteryState
from companion.practice.plan.day_plan import ItemKind, Reason
from companion.session.todays_plan import DayRequest, Today, today
from tests.session.practised import evening, note, played
from tests.session.teacher_and_student import TWO_DRILLS, teacher

DEMO = str(demo_score())
TERM = 1400
"""31 December 2029, a Monday, counted in days from the first of these tests' days."""
LESSON = 3
HOLIDAYS = range(4 * 7, 6 * 7)
ILL = range(7 * 7, 7 * 7 + 3)
CONCERT = 10 * 7 + 5
LEARNED_EACH_WEEK = ("B-B+3", "B+4-B+7", "C-C+3", "D-D+2", "D+3-D+5", "E-E+3")


def on(number: int) -> str:
    return evening(TERM + number).date().isoformat()


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(list(words)) == 0
    return capsys.readouterr().out


def planned(folders: Folders, number: int) -> Today:
    return today(folders, evening(TERM + number), DayRequest())


def kinds(shown: Today) -> list[ItemKind]:
    return [item.kind for item in shown.plan.items]


def practise(folders: Folders, number: int) -> Today:
    """One evening as planned; a plan keeps its promises on every one of them."""
    shown = planned(folders, number)
    visits = Counter(item.bars for item in shown.plan.items if item.bars is not None)
    assert max(visits.values(), default=0) <= 2
    assert sum(item.minutes for item in shown.plan.items) <= 45
    note(folders, played(shown.plan, demo_score(), evening(TERM + number) - timedelta(hours=1)))
    return shown


def test_a_term_with_lessons_holidays_an_illness_and_a_concert(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COMPANION_DATA", str(tmp_path / "data"))
    folders = Folders(tmp_path / "data", tmp_path / "data" / "cache")
    told(capsys, "settle", DEMO, "--part", "viola")
    sheet = teacher(tmp_path / "teacher", TWO_DRILLS.replace("2030-05-21", on(14)))
    told(capsys, "exercise", "open", str(sheet))

    # The first six weeks of lessons each bring a passage; a week is four evenings before it.
    evenings: dict[int, Today] = {}
    weeks = [week for week in range(10) if 7 * week not in HOLIDAYS]
    for week in weeks:
        if (index := weeks.index(week)) < len(LEARNED_EACH_WEEK):
            bars = ("--bars", LEARNED_EACH_WEEK[index], "--part", "viola", "--tempo", "69")
            by = ("--by", on(7 * week + LESSON), "--for", "lesson")
            told(capsys, "goal", DEMO, *bars, *by)
        for day in range(7 * week, 7 * week + 6):
            if day not in ILL:
                evenings[day] = practise(folders, day)

    # Before a lesson nothing is run through, and the exercise has its minutes every evening.
    assert not any(ItemKind.RUN_THROUGH in kinds(shown) for shown in evenings.values())
    assert all(ItemKind.EXERCISE in kinds(shown) for shown in evenings.values())
    reasons = [item.why for item in evenings[0].plan.items if item.kind is ItemKind.NEW]
    assert isinstance(reasons[0], Reason)
    assert (reasons[0].to_concert, reasons[0].occasion) == (LESSON, OccasionKind.LESSON)

    # Coming back from holidays and from bed: what held is asked for first, nothing is owed.
    for day in (HOLIDAYS.stop, ILL.stop):
        back = [item for item in evenings[day].plan.items if item.bars is not None]
        assert not any(item.planned_on for item in back)
        assert ItemKind.RETURN in {item.kind for item in back}

    # The concert is set ten days before it: its last days are run through, nothing goes up.
    for letters in LEARNED_EACH_WEEK:
        goal = ("--bars", letters, "--part", "viola", "--tempo", "69", "--by", on(CONCERT))
        told(capsys, "goal", DEMO, *goal)
    monkeypatch.setattr(today_command, "now", lambda: evening(TERM + CONCERT - 1))
    eve = planned(folders, CONCERT - 1)
    assert kinds(eve)[1] is ItemKind.RUN_THROUGH
    assert "once through without stopping; 1 day to the concert" in told(capsys, "today")
    assert not any(item.top for item in eve.plan.items)
    progress = told(capsys, "progress", DEMO, "--part", "viola")
    assert MasteryState.HOLDS.value in progress

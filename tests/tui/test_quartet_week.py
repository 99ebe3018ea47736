"""A new quartet on Monday, its rehearsal on Thursday: a week through commands and the app.

What the viola has to do there can be read in the parts: bars 14–21 (letter B) in 6/8 against
the violins' 2/4, 22–24 beside the beat, 25 in triplets against eighths, 30–35 in 3/4 against 6/8.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta

import pytest
from textual.widgets import OptionList

from companion.cli import today_command
from companion.cli.main import main
from companion.click.plan.tempo_plan import Ladder
from companion.files.folders import Folders, demo_score
from companion.practice.attempt import Outcome
from companion.practice.plan.day_plan import DayPlan, ItemKind
from companion.session import typed_dates
from companion.tui.app import CompanionApp
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.screens.today_screen import TodayScreen
from tests.session.practised import evening, note, played

DEMO = str(demo_score())
MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY = range(5)
Day = Callable[[int], None]


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(list(words)) == 0
    return capsys.readouterr().out


async def planned(
    folders: Folders, number: int, size: tuple[int, int] = (80, 24)
) -> tuple[DayPlan, str]:
    """Today as the app shows it on an evening, with the score open; and its text."""
    app = CompanionApp(folders, demo_score(), clock=lambda: evening(number))
    async with app.run_test(size=size) as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.press("y")
        await app.workers.wait_for_complete()
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, TodayScreen)
        assert screen.shown is not None
        options = screen.query_one("#today-list", OptionList).options
        text = "\n".join(str(option.prompt) for option in options)
        plan = screen.shown.plan
        await pilot.press("enter")
        await app.workers.wait_for_complete()
        await pilot.pause()
        opened = app.screen
        assert isinstance(opened, PassageScreen)
        first = next(item for item in plan.items if item.bars is not None)
        assert first.bars is not None
        assert (opened.passage.first, opened.passage.last) == (first.bars.first, first.bars.last)
        assert isinstance(opened.tempo, Ladder) is bool(first.top)
    return plan, " ".join(text.split())


def offered(plan: DayPlan) -> list[tuple[int, int]]:
    return [(item.bars.first, item.bars.last) for item in plan.items if item.bars is not None]


def ladder(plan: DayPlan, first: int) -> tuple[str, str]:
    return next(
        (item.tempo, item.top) for item in plan.items if item.bars and item.bars.first == first
    )


async def test_a_new_quartet_on_monday_is_ready_for_thursdays_rehearsal(
    app_folders: Folders, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    told(capsys, "settle", DEMO, "--part", "viola")
    letter = (DEMO, "--part", "viola", "--bars", "B-B+7", "--tempo", "69")
    monkeypatch.setattr(typed_dates, "now", lambda: evening(MONDAY))
    told(capsys, "goal", *letter, "--by", "thursday", "--for", "rehearsal")

    week: list[DayPlan] = []
    words: list[str] = []
    for number in range(5):
        plan, text = await planned(app_folders, number)
        note(app_folders, played(plan, demo_score(), evening(number) - timedelta(hours=1)))
        week.append(plan)
        words.append(text)
        assert sum(item.minutes for item in plan.items) == 45
        assert max(Counter(offered(plan)).values()) <= 2

    # Monday: nothing was tried, so all begins slowly, the goal first, then what is hardest.
    assert {item.kind for item in week[MONDAY].items if item.bars} == {ItemKind.NEW}
    assert offered(week[MONDAY])[:5] == [(14, 21), (24, 26), (22, 24), (30, 32), (33, 35)]
    assert "Viola bars 23–25" in words[MONDAY], "bar 24 with the bars it comes from and leads to"
    assert all(last > first for first, last in offered(week[MONDAY]))
    assert ladder(week[MONDAY], 14) == ("41", "51")
    assert (
        "new: ~hard; begin slowly, the goal is dotted quarter = 69; 3 days to the"
        in (words[MONDAY])
    )

    # Tuesday and Wednesday: higher each day, and on the eve up to the goal.
    assert ladder(week[TUESDAY], 14) == ("55", "63")
    assert ladder(week[WEDNESDAY], 14) == ("67", "69")
    assert ladder(week[WEDNESDAY], 24)[1] == "69"
    assert "dotted quarter = 63 held on 3 March 2026; 1 day to the rehearsal" in words[WEDNESDAY]
    assert all("run-through" not in text for text in words[:THURSDAY])

    # Thursday: what is learned is run through after the spots; no tempo goes up any more.
    through = [item for item in week[THURSDAY].items if item.kind is ItemKind.RUN_THROUGH]
    assert [(item.bars.first, item.bars.last) for item in through if item.bars] == [
        (14, 24),  # 23–25 shares bar 25 with 25–28, which nobody has begun
        (2, 9),
    ]
    assert week[THURSDAY].items[-1].kind is ItemKind.RUN_THROUGH
    assert not any(item.top for item in week[THURSDAY].items)
    assert "the rehearsal is today" in words[THURSDAY]

    # Friday: the rehearsal is over, and the next passages are begun.
    assert "rehearsal" not in words[FRIDAY]
    assert ItemKind.NEW in {item.kind for item in week[FRIDAY].items}

    # The command says the same as the app.
    monkeypatch.setattr(today_command, "now", lambda: evening(FRIDAY + 1))
    lines = told(capsys, "today", "--score", DEMO, "--part", "viola")
    plan, _ = await planned(app_folders, FRIDAY + 1)
    assert all(
        f"bars {item.label}" in lines for item in plan.items if item.bars and "–" in item.label
    )


async def test_what_fell_apart_all_week_is_not_run_through_on_thursday(
    app_folders: Folders, capsys: pytest.CaptureFixture[str]
) -> None:
    told(capsys, "settle", DEMO, "--part", "viola")
    told(capsys, "log", "date", evening(THURSDAY).date().isoformat(), "--what", "rehearsal")
    tempos = []
    for number in range(THURSDAY + 1):
        plan, text = await planned(app_folders, number, (140, 40))
        tempos.append(int(ladder(plan, 14)[0]))
        assert "run-through" not in text
        note(
            app_folders,
            played(plan, demo_score(), evening(number) - timedelta(hours=1), Outcome.FELL_APART),
        )
    assert tempos == sorted(tempos, reverse=True)
    assert tempos[0] > tempos[-1]

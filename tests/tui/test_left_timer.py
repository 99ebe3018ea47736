"""A timer that was left running, met at the start of the app."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.journal.log_entries import logged_entries
from companion.journal.timing import running_timer
from companion.practice.entry import Activity
from companion.practice.timer import Timer
from companion.tui.app import CompanionApp
from companion.tui.screens.left_timer_screen import LeftTimerScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.opening_screen import OpeningScreen
from companion.tui.widgets.notice import Notice
from tests.tui.practised_weeks import clock


def left(folders: Folders, hours: float, sign: float | None = None) -> None:
    started = clock() - timedelta(hours=hours)
    last = clock() - timedelta(hours=sign) if sign is not None else None
    every = 20.0 if last else 0.0
    with Log.open(folders.data) as log:
        log.timers.start(
            Timer(what=Activity.SCALES, started=started, last_sign=last, signs_every=every)
        )


async def modal(pilot: Pilot[None]) -> LeftTimerScreen:
    """It asks once the first screen is painted."""
    await pilot.pause()
    assert isinstance(pilot.app.screen, LeftTimerScreen)
    return pilot.app.screen


async def test_it_is_kept_until_its_last_sign_of_life(app_folders: Folders) -> None:
    left(app_folders, 5, sign=4)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        assert [told for told, _ in (await modal(pilot)).ways] == [
            "Log it until 16:00, when the program last ran",
            "Log it until now, 300 minutes",
            "Discard it",
        ]
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, OpeningScreen)
        assert "scales · 60 minutes" in pilot.app.screen.query_one(Notice).text
    assert [entry.seconds for entry in logged_entries(app_folders)] == [3600]


async def test_it_is_kept_until_now_and_then_the_score_is_opened(
    demo: Path, app_folders: Folders
) -> None:
    left(app_folders, 0.5)
    async with CompanionApp(app_folders, demo, clock).run_test() as pilot:
        await modal(pilot)
        await pilot.press("enter")
        assert isinstance(pilot.app.screen, MapScreen)
        assert "scales · 30 minutes" in pilot.app.screen.query_one(Notice).text
    assert [entry.seconds for entry in logged_entries(app_folders)] == [1800]


async def test_more_than_a_day_is_refused_in_place_and_can_be_discarded(
    app_folders: Folders,
) -> None:
    left(app_folders, 30)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        await modal(pilot)
        await pilot.press("enter")
        assert "more than a day" in (await modal(pilot)).query_one(Notice).text
        await pilot.press("down", "enter")
        assert isinstance(pilot.app.screen, OpeningScreen)
    assert running_timer(app_folders) is None
    assert logged_entries(app_folders) == []


async def test_escape_lets_it_run_on(app_folders: Folders) -> None:
    left(app_folders, 0.5)
    async with CompanionApp(app_folders, clock=clock).run_test() as pilot:
        await modal(pilot)
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, OpeningScreen)
    assert running_timer(app_folders) is not None

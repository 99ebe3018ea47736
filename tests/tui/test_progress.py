"""How it goes, on the screen: why a passage stands so, the part bar by bar, the weeks."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.practice.attempt import Bars
from companion.session.open_score import OpenScore
from companion.tui.app import CompanionApp
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.screens.progress_screen import ProgressScreen, View
from companion.tui.widgets.notice import Notice
from tests.session.practised import VIOLA
from tests.tui.practised_weeks import clock, practised_viola, viola


def of_bars(open_score: OpenScore, first: int, last: int) -> Bars:
    return Bars(open_score.digest, open_score.score.parts[VIOLA].id, first, last)


async def settled(pilot: Pilot[None]) -> None:
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def shown(
    pilot: Pilot[None], folders: Folders, open_score: OpenScore, bars: Bars | None = None
) -> ProgressScreen:
    screen = ProgressScreen(open_score, VIOLA, folders, bars, clock)
    await pilot.app.push_screen(screen)
    await settled(pilot)
    return screen


async def test_a_passage_tells_why_it_stands_so(app_folders: Folders) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        screen = await shown(pilot, app_folders, open_score, of_bars(open_score, 14, 17))
        assert screen.told.startswith("Viola bars 13–16: ▒ holds with the click\nWhy?")
        assert "It held at its goal, dotted quarter = 69, on 2 days" in screen.told
        assert "Next: “holds” — 2 days" in screen.told
        assert "┄" in screen.told
        assert "× did not hold" in screen.told


async def test_the_arrows_go_from_passage_to_passage(app_folders: Folders) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await shown(pilot, app_folders, open_score, of_bars(open_score, 14, 17))
        await pilot.press("right")
        assert screen.told.startswith("Viola bars 17–20: ░ taking shape")
        await pilot.press("right")
        assert "It was never tried" in screen.told
        await pilot.press("right")
        assert screen.told.startswith("Viola bars 13–16:")
        await pilot.press("left")
        assert screen.told.startswith("Viola bars 29–32: · new")


async def test_the_part_is_told_bar_by_bar_without_colour(app_folders: Folders) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await shown(pilot, app_folders, open_score)
        assert screen.view is View.PART
        assert "6 % of 60 bars hold" in screen.told
        assert "▒▒▒▒░░░│░" in screen.told
        assert [str(row.prompt).split(":")[0] for row in screen.rows.options] == [
            "▒ bars 13–16",
            "░ bars 17–20",
            "· bars 29–32",
        ]
        await pilot.press("down", "enter")
        assert screen.told.startswith("Viola bars 17–20")
        await pilot.press("enter")
        opened = pilot.app.screen
        assert isinstance(opened, PassageScreen)
        assert (opened.passage.first, opened.passage.last) == (18, 21)


async def test_the_weeks_end_with_this_one(app_folders: Folders) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        screen = await shown(pilot, app_folders, open_score)
        await pilot.press("3")
        lines = screen.told.splitlines()
        assert lines[0] == "Minutes a day, 16 weeks"
        assert lines[-2].startswith("2026-03-16")
        assert lines[-2].endswith("6 min")


async def test_bars_nobody_practised_just_so_lead_to_the_part(app_folders: Folders) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await shown(pilot, app_folders, open_score, of_bars(open_score, 14, 20))
        assert screen.view is View.PART
        assert "No attempts and no goal for these bars" in screen.query_one(Notice).text


async def test_a_part_nobody_practised_says_how_to_begin(app_folders: Folders) -> None:
    open_score = viola(app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        screen = await shown(pilot, app_folders, open_score)
        assert screen.told.startswith("Nothing of this part is in the log yet")
        await pilot.press("1", "enter", "right")
        assert pilot.app.screen is screen


async def test_w_on_the_map_and_on_the_passage_ask_how_it_goes(
    demo: Path, app_folders: Folders
) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("w")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ProgressScreen)
        assert pilot.app.screen.view is View.PART
        await pilot.press("1", "enter")
        assert isinstance(pilot.app.screen, PassageScreen)
        await pilot.press("w")
        await settled(pilot)
        assert isinstance(pilot.app.screen, ProgressScreen)
        assert pilot.app.screen.bars == of_bars(open_score, 14, 17)
        await pilot.press("escape", "escape", "escape")


@pytest.mark.parametrize("size", [(20, 6), (1, 1), (300, 100)])
async def test_no_size_of_terminal_breaks_it(app_folders: Folders, size: tuple[int, int]) -> None:
    open_score = practised_viola(app_folders)
    async with CompanionApp(app_folders).run_test(size=size) as pilot:
        await shown(pilot, app_folders, open_score, of_bars(open_score, 14, 17))
        await pilot.press("2", "3", "1", "right")
        assert isinstance(pilot.app.screen, ProgressScreen)

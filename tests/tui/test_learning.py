"""The manual on F1, and the tour on the built-in score."""

from pathlib import Path
from typing import Any

from textual.pilot import Pilot
from textual.screen import Screen

from companion.files.folders import Folders
from companion.journal.log import Log
from companion.session.open_score import open_for_practice
from companion.tui import screens
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.manual_screen import PAGES, ManualScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.opening_screen import OpeningScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.tour import TourLine
from companion.tui.widgets.key_line import KeyLine
from companion.tui.widgets.notice import Notice
from companion.wording.manual_pages import manual_pages


async def until(pilot: Pilot[None], kind: type[Screen[Any]], told: str) -> None:
    """The tour's line says something on a screen of this kind."""
    for _ in range(400):
        lines = list(pilot.app.screen.query(TourLine))
        if isinstance(pilot.app.screen, kind) and lines and told in str(lines[0].render()):
            return
        await pilot.pause(0.05)
    raise AssertionError(told)


async def until_listed(pilot: Pilot[None], key: str) -> None:
    """The bottom line lists a key."""
    for _ in range(400):
        if key in str(pilot.app.screen.query_one(KeyLine).render()):
            return
        await pilot.pause(0.05)
    raise AssertionError(key)


def test_every_screen_of_the_manual_and_every_page_is_there() -> None:
    there = "".join(
        path.read_text("utf-8") for path in Path(screens.__file__).parent.glob("*_screen.py")
    )
    assert all(f"class {name}(" in there for name in PAGES)
    assert set(PAGES.values()) <= {page.name for page in manual_pages()}
    assert all(len(page.text.splitlines()) <= 22 for page in manual_pages())


async def test_f1_opens_the_page_about_the_screen(app_folders: Folders, demo: Path) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.pause()
        await pilot.press("f1")
        manual = pilot.app.screen
        assert isinstance(manual, ManualScreen)
        assert manual.pages[manual.number].name == "map"
        await pilot.press("right")
        assert manual.pages[manual.number].name == "passage"
        await pilot.press("escape")
        assert isinstance(pilot.app.screen, MapScreen)


async def test_the_tour_ends_in_a_drill_whose_attempt_is_logged(
    app_folders: Folders, demo: Path
) -> None:
    async with CompanionApp(app_folders).run_test() as pilot:
        await pilot.press("T")
        await until(pilot, MapScreen, "Press n")
        await pilot.press("n")
        await until(pilot, MapScreen, "Press Enter")
        await pilot.press("enter", "enter")
        await until(pilot, PassageScreen, "Press d")
        await until_listed(pilot, "esc End tour")
        await pilot.press("d")
        await until(pilot, DrillScreen, "Press Space")
        await until_listed(pilot, "esc End tour")
        await pilot.press("space")
        await until(pilot, DrillScreen, "Press ↓")
        await until_listed(pilot, "esc End tour")
        await pilot.press("down")
        await until(pilot, DrillScreen, "press Enter")
        await pilot.press("enter")
        await until(pilot, OutcomeScreen, "Press 1 to 4")
        await pilot.press("1")
        if isinstance(pilot.app.screen, OutcomeScreen):  # asked about the tempo before, too
            await pilot.press("escape")
        await until(pilot, DrillScreen, "That is the way")
        with Log.read_only(app_folders.data) as log:
            assert len(log.attempts()) == 1


async def test_the_tour_does_not_look_at_a_screen_that_is_not_mounted_yet(
    app_folders: Folders, demo: Path
) -> None:
    open_score = open_for_practice(demo, app_folders)
    async with CompanionApp(app_folders).run_test() as pilot:
        app = pilot.app
        assert isinstance(app, CompanionApp)
        app.begin_tour()
        app.push_screen(MapScreen(open_score, app_folders))
        app._look_at_tour()
        await pilot.pause()
        app._look_at_tour()
        await pilot.pause()
        assert app.screen.query(TourLine)


async def test_escape_ends_the_tour_and_nothing_else(app_folders: Folders, demo: Path) -> None:
    async with CompanionApp(app_folders, demo, with_tour=True).run_test() as pilot:
        await until(pilot, MapScreen, "Press n")
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, MapScreen)
        assert not pilot.app.screen.query(TourLine)
        said = pilot.app.screen.query_one(Notice).text
        assert "T on the first screen begins the tour again" in said
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, OpeningScreen)

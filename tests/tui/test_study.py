"""The study sheet in the app: sentences for my part, and the way to practise them."""

from pathlib import Path

from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.session.open_score import OpenScore, choose_part, open_for_practice
from companion.tui.app import CompanionApp
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.screens.study_screen import StudyScreen

VIOLA = 2


def of_viola(demo: Path, folders: Folders) -> OpenScore:
    return choose_part(open_for_practice(demo, folders), folders, VIOLA).open_score


async def studied(pilot: Pilot[None]) -> StudyScreen:
    await pilot.press("e")
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, StudyScreen)
    return screen


async def test_the_sheet_tells_the_viola_what_pulls(demo: Path, app_folders: Folders) -> None:
    of_viola(demo, app_folders)
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        screen = await studied(pilot)
        texts = [advice.text for advice in screen.shown if advice]
        assert any(
            "3 against 2 in the beat. You and Cello divide it into 3" in text for text in texts
        )
        assert any("with Cello you make even eighths" in text for text in texts)


async def test_enter_opens_the_bars_of_a_sentence(demo: Path, app_folders: Folders) -> None:
    of_viola(demo, app_folders)
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        screen = await studied(pilot)
        wanted = next(
            index
            for index, advice in enumerate(screen.shown)
            if advice and advice.topic == "interlock"
        )
        screen.list.highlighted = wanted
        await pilot.press("enter")
        await pilot.pause()
        opened = pilot.app.screen
        assert isinstance(opened, PassageScreen)
        assert (opened.passage.first, opened.passage.last) == (14, 19)


async def test_everything_holds_more_than_the_sheet(demo: Path, app_folders: Folders) -> None:
    # The first violin has one place too many for a page.
    choose_part(open_for_practice(demo, app_folders), app_folders, 0)
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        screen = await studied(pilot)
        few = sum(map(bool, screen.shown))
        await pilot.press("x")
        assert sum(map(bool, screen.shown)) > few


async def test_the_numbers_behind_hard_are_shown_if_asked_for(
    demo: Path, app_folders: Folders
) -> None:
    of_viola(demo, app_folders)
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        screen = await studied(pilot)

        def shown() -> str:
            return " ".join(str(option.prompt) for option in screen.list.options)

        assert "Hard to play" in shown() and "of 100" not in shown()
        await pilot.press("n")
        assert "of 100, by rule of thumb" in shown()
        await pilot.press("n")
        assert "of 100" not in shown()


async def test_whose_part_it_is_is_asked_first(demo: Path, app_folders: Folders) -> None:
    async with CompanionApp(app_folders, demo).run_test() as pilot:
        await pilot.press("e", "down", "enter")
        await pilot.app.workers.wait_for_complete()
        screen = pilot.app.screen
        assert isinstance(screen, StudyScreen)
        assert screen.part == 1

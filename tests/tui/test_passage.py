"""The passage screen, played on by keys."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from textual.widgets import Static

from companion.files.folders import Folders
from companion.score.passage import passage
from companion.session.open_score import OpenScore
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.help_screen import HelpScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.heading import Heading
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes
from tests.score.written import score_of
from tests.session.small_scores import opened_for_practice, three_against_two

if TYPE_CHECKING:
    pass

SIZES = pytest.mark.parametrize("size", [(80, 24), (140, 40)], ids=["80x24", "140x40"])


def screen_on(
    open_score: OpenScore, folders: Folders, part: int = 0, first: int = 1, last: int = 0
) -> PassageScreen:
    chosen = passage(open_score.clock, part, first, last or len(open_score.clock.bars))
    return PassageScreen(open_score, chosen, folders)


@SIZES
async def test_one_sees_three_against_two_at_once(
    size: tuple[int, int], app_folders: Folders
) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=size) as pilot:
        screen = screen_on(three_against_two(), app_folders)
        await app.push_screen(screen)
        await pilot.pause()
        shown = screen.query_one(PassageLanes).text
        assert "● Violin I" in shown
        assert "○ Violin II" in shown
        assert "in 3" in shown
        assert "in 2" in shown
        assert "[1]" in shown
        assert "3 against 2 in the beat" in screen.told
        assert "Count: 1 2& 3 in each beat" in screen.told


async def test_the_arrows_go_through_the_bars_and_stop_at_the_ends(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(bars=3), app_folders)
        await app.push_screen(screen)
        await pilot.press("left")
        assert screen.bar == 0
        await pilot.press("right", "right", "right")
        assert screen.bar == 2
        assert "[3]" in screen.query_one(PassageLanes).text
        assert screen.told.startswith("Bar 3")


async def test_up_and_down_compare_with_every_other_part(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(), app_folders)
        await app.push_screen(screen)
        seen = []
        for _ in range(3):
            seen.append(screen.query_one(PassageLanes).lanes.facing.name)
            await pilot.press("down")
        assert seen == ["Violin II", "Viola", "Cello"]
        assert screen.query_one(PassageLanes).lanes.facing.name == "Violin II"
        await pilot.press("up")
        assert "○ Cello" in screen.query_one(PassageLanes).text


async def test_the_passage_grows_and_shrinks_at_both_ends(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(bars=6), app_folders, first=3, last=4)
        await app.push_screen(screen)

        def bars() -> tuple[int, int]:
            return screen.passage.first, screen.passage.last

        await pilot.press("plus")
        assert bars() == (3, 5)
        await pilot.press("right_square_bracket", "left_square_bracket", "minus", "minus")
        assert bars() == (3, 3)
        await pilot.press("right_curly_bracket")
        assert bars() == (2, 3)
        await pilot.press("right", "left_curly_bracket")
        assert bars() == (3, 3)
        assert screen.bar == 0
        assert screen.query_one(Heading).title.startswith("Passage  bar 3")


async def test_a_passage_cannot_end_before_it_begins(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(), app_folders, last=1)
        await app.push_screen(screen)
        await pilot.press("minus")
        assert (screen.passage.first, screen.passage.last) == (1, 1)
        assert screen.query_one(Notice).text.startswith("! ")
        await pilot.press("plus")
        assert screen.query_one(Notice).text == ""


async def test_h_leaves_the_two_lanes_that_face_each_other(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(), app_folders)
        await app.push_screen(screen)
        await pilot.press("n", "h")
        shown = screen.query_one(PassageLanes).text
        assert "Cello" not in shown
        assert "Violin II" in shown
        await pilot.press("h")
        assert "Cello" in screen.query_one(PassageLanes).text


async def test_notes_or_lanes_are_remembered_from_screen_to_screen(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(), app_folders)
        await app.push_screen(screen)
        await pilot.pause()
        assert "●" in screen.query_one(PassageLanes).text
        await pilot.press("n")
        assert "◆A4" in screen.query_one(PassageLanes).text
        await pilot.press("escape")
        again = screen_on(three_against_two(), app_folders)
        await app.push_screen(again)
        await pilot.pause()
        assert "◆A4" in again.query_one(PassageLanes).text


async def test_the_bar_under_the_cursor_is_scrolled_into_view(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(bars=40), app_folders)
        await app.push_screen(screen)
        for _ in range(39):
            await pilot.press("right")
        assert "[40]" in screen.query_one(PassageLanes).text


async def test_a_part_alone_is_still_drawn(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = screen_on(opened_for_practice(score_of({"Flute": "3/4 q q q"})), app_folders)
        await app.push_screen(screen)
        await pilot.press("down", "h")
        assert "● Flute" in screen.query_one(PassageLanes).text
        assert "no conflict here" in screen.told


@pytest.mark.parametrize("size", [(20, 6), (1, 1), (300, 100)])
async def test_no_size_of_terminal_breaks_it(size: tuple[int, int], app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=size) as pilot:
        await app.push_screen(screen_on(three_against_two(), app_folders))
        await pilot.press("right", "down", "h")
        assert isinstance(app.screen, PassageScreen)


async def test_d_opens_the_drill_and_escape_comes_back(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(screen_on(three_against_two(), app_folders))
        await pilot.press("d")
        assert isinstance(app.screen, DrillScreen)
        await pilot.press("escape")
        assert isinstance(app.screen, PassageScreen)


async def test_every_key_of_the_screen_is_explained(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        await app.push_screen(screen_on(three_against_two(), app_folders))
        await pilot.press("question_mark")
        assert "one bar more at the end" in app.export_screenshot().replace("&#160;", " ")


async def test_rests_on_staves_are_explained(app_folders: Folders) -> None:
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        screen = screen_on(three_against_two(2), app_folders)
        await pilot.app.push_screen(screen)
        await pilot.pause()
        assert "ξ 7 rests" in str(screen.query_one("#passage-legend", Static).render())
        await pilot.press("question_mark")
        helping = pilot.app.screen
        assert isinstance(helping, HelpScreen)
        told = dict(helping.keys)
        assert "a quarter rest, an eighth rest" in told["ξ 7"]

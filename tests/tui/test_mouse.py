"""The map and a passage by the mouse: a bar clicked, a passage dragged, the wheel."""

from __future__ import annotations

from pathlib import Path

from textual.events import MouseScrollDown
from textual.pilot import Pilot

from companion.files.folders import Folders
from companion.score.passage import passage
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.map_screen import MapScreen
from companion.tui.screens.passage_screen import PassageScreen
from companion.tui.widgets.map_lines import WIDTH, gutter, lines_around
from companion.tui.widgets.passage_lanes import PassageLanes
from companion.tui.widgets.score_map import ScoreMap
from tests.session.practised import VIOLA
from tests.tui.practised_weeks import viola


async def map_of(pilot: Pilot[None], folders: Folders) -> ScoreMap:
    screen = MapScreen(viola(folders), folders)
    await pilot.app.push_screen(screen)
    await pilot.pause()
    return screen.score_map


def spot(score_map: ScoreMap, bar: int, part: int) -> tuple[int, int]:
    """The cell of a bar, counted from the first in sight, and a part."""
    column = gutter(score_map.open_score) + bar * WIDTH + 1
    return column, lines_around(score_map.chart) - 1 + part


async def test_a_click_goes_to_the_bar_and_the_part(app_folders: Folders, demo: Path) -> None:
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        score_map = await map_of(pilot, app_folders)
        await pilot.click(score_map, offset=spot(score_map, 5, 1))
        assert (score_map.bar, score_map.part) == (6, 1)
        assert len(score_map.selection) == 0


async def test_a_drag_selects_and_a_second_click_practises_it(
    app_folders: Folders, demo: Path
) -> None:
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        score_map = await map_of(pilot, app_folders)
        await pilot.mouse_down(score_map, offset=spot(score_map, 3, VIOLA))
        await pilot.hover(score_map, offset=spot(score_map, 6, VIOLA))
        await pilot.mouse_up(score_map, offset=spot(score_map, 6, VIOLA))
        assert score_map.selection == range(4, 8)
        await pilot.press("enter")
        shown = pilot.app.screen
        assert isinstance(shown, PassageScreen)
        assert (shown.passage.first, shown.passage.last) == (4, 7)


async def test_a_double_click_practises(app_folders: Folders, demo: Path) -> None:
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        score_map = await map_of(pilot, app_folders)
        await pilot.double_click(score_map, offset=spot(score_map, 2, VIOLA))
        assert isinstance(pilot.app.screen, PassageScreen)


async def test_the_wheel_goes_on_and_the_whole_score_is_clicked(
    app_folders: Folders, demo: Path
) -> None:
    async with CompanionApp(app_folders).run_test(size=(80, 24)) as pilot:
        score_map = await map_of(pilot, app_folders)
        await pilot._post_mouse_events([MouseScrollDown], score_map, offset=(20, 3))
        assert score_map.bar == 5
        count = len(score_map.chart.labels)
        parts = len(score_map.parts_in_sight)
        far = gutter(score_map.open_score) + len(score_map.bars_in_sight) * WIDTH - 1
        await pilot.click(score_map, offset=(far, lines_around(score_map.chart) - 1 + parts))
        assert score_map.bar == count


async def test_a_bar_of_a_passage_is_clicked_and_drilled(app_folders: Folders) -> None:
    open_score = viola(app_folders)
    screen = PassageScreen(open_score, passage(open_score.clock, VIOLA, 14, 17), app_folders)
    async with CompanionApp(app_folders).run_test(size=(140, 40)) as pilot:
        await pilot.app.push_screen(screen)
        await pilot.pause()
        lanes = screen.query_one(PassageLanes)
        cell = next(one for one in lanes.grid.columns.systems[0] if one.bar == 1)
        await pilot.click(lanes, offset=(cell.line + 2, 1))
        assert screen.bar == 1
        await pilot.double_click(lanes, offset=(cell.line + 2, 1))
        assert isinstance(pilot.app.screen, DrillScreen)

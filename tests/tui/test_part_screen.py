"""My whole part as notes, walked through by keys."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from companion.errors import CompanionError
from companion.files.folders import Folders, assets_folder
from companion.score.readers.opening import read_score
from companion.session import part_viewer
from companion.session.open_score import OpenScore, open_with_choices
from companion.session.score_chart import chart, only_mine
from companion.tui.app import CompanionApp
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.part_screen import PartScreen
from companion.tui.widgets.notice import Notice
from companion.tui.widgets.passage_lanes import PassageLanes

DEMO = assets_folder() / "demo" / "chain_ferry.musicxml"
VIOLA = 2


def opened(folders: Folders) -> OpenScore:
    return open_with_choices(read_score(DEMO), folders)


def part_screen(folders: Folders, bar: int = 1) -> PartScreen:
    open_score = opened(folders)
    mine = only_mine(chart(open_score), open_score.score.parts[VIOLA].id)
    return PartScreen(open_score, VIOLA, mine, bar, folders)


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 40)], ids=str)
async def test_every_bar_comes_to_the_cursor_and_no_page_leaves_one_out(
    size: tuple[int, int], app_folders: Folders
) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=size) as pilot:
        screen = part_screen(app_folders)
        await app.push_screen(screen)
        await pilot.pause()
        bars = screen.open_score.clock.bars
        for bar in bars[:24]:
            assert screen.bar == bar.number
            assert f"[{screen.chart.letters.get(bar.number, '')}".strip() in shown(screen)
            assert f"{bar.name}" in shown(screen)
            await pilot.press("right")
        await pilot.press("end")
        assert screen.bar == len(bars)
        await pilot.press("pageup")
        assert screen.bar < len(bars)
        await pilot.press("home")
        assert screen.bar == 1


def shown(screen: PartScreen) -> str:
    return screen.query_one(PassageLanes).text


async def test_what_pulls_stands_above_its_bars_and_enter_drills_it(app_folders: Folders) -> None:
    app = CompanionApp(app_folders)
    async with app.run_test(size=(140, 40)) as pilot:
        screen = part_screen(app_folders)
        await app.push_screen(screen)
        await pilot.pause()
        await pilot.press("n")
        first = screen.chart.found[0]
        assert screen.bar == first.first
        assert "3:2]" in shown(screen)
        await pilot.press("enter")
        drill = app.screen
        assert isinstance(drill, DrillScreen)
        assert (drill.passage.first, drill.passage.last) == (first.first, first.last)


async def test_the_part_opens_in_the_systems_viewer(
    app_folders: Folders, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Path] = []
    monkeypatch.setattr(part_viewer, "open_in_viewer", seen.append)
    app = CompanionApp(app_folders)
    async with app.run_test(size=(80, 24)) as pilot:
        screen = part_screen(app_folders)
        await app.push_screen(screen)
        await pilot.pause()
        await pilot.press("P")
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert screen.query_one(Notice).text == "Viola is open in the system's viewer."
    assert seen[0].read_bytes().startswith(b"%PDF")


def test_without_a_viewer_one_sentence_says_where_the_file_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(subprocess, "Popen", None)  # nothing is started
    with pytest.raises(CompanionError, match="no viewer") as refused:
        part_viewer.open_in_viewer(tmp_path / "viola.pdf")
    assert "viola.pdf" in refused.value.sentence()

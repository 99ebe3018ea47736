"""What is done thirty times a second while music plays, and what is not."""

from __future__ import annotations

import pytest
from textual.screen import Screen

from companion.files.folders import Folders
from companion.tui.widgets.passage_lanes import PassageLanes
from tests.tui.drill_room import BAR, Room


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


async def test_a_beat_lays_nothing_out(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is told has always the same room; to lay out a screen takes as long as ten looks."""
    laid_out: list[float] = []
    lay_out = Screen._refresh_layout

    def noting(screen: Screen[object], *args: object, **words: object) -> None:
        laid_out.append(room.hand.seconds)
        lay_out(screen, *args, **words)  # type: ignore[arg-type]

    async with room.app.run_test(size=(140, 40)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR)
        await pilot.pause()
        monkeypatch.setattr(Screen, "_refresh_layout", noting)
        told = {room.told}
        for _ in range(4):
            room.after(BAR / 2)
            await pilot.pause()
            told.add(room.told)
        assert len(told) > 1
        assert not laid_out


async def test_the_playhead_lies_over_one_column_of_each_row(room: Room) -> None:
    async with room.app.run_test(size=(140, 40)) as pilot:
        await room.enter(pilot)
        lanes = room.screen.query_one(PassageLanes)
        still = [lanes.render_line(y) for y in range(lanes.size.height)]
        await room.press(pilot, "space")
        room.after(BAR + 0.5)
        column = room.lanes.splitlines()[0].index("▼")
        crossed = 0
        for y, before in enumerate(still):
            now = lanes.render_line(y)
            assert now.crop(0, column) == before.crop(0, column)
            assert now.crop(column + 1) == before.crop(column + 1)
            (here,) = now.crop(column, column + 1)
            crossed += bool(here.style and here.style.reverse)
        assert crossed >= lanes.grid.height - 1


async def test_rows_that_are_drawn_follow_the_theme(room: Room) -> None:
    async with room.app.run_test(size=(140, 40)) as pilot:
        await room.enter(pilot)
        lanes = room.screen.query_one(PassageLanes)
        rows = range(1, lanes.grid.height - 1)
        before = [lanes.render_line(y) for y in rows]
        assert before == [lanes.render_line(y) for y in rows]
        room.app.theme = "textual-light"
        await pilot.pause()
        after = [lanes.render_line(y) for y in rows]
        assert [line.text for line in after] == [line.text for line in before]
        assert all(one != other for one, other in zip(before, after, strict=True))

"""How did it go: one key, and it is in the log."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from companion.files.folders import Folders
from companion.journal.log_entries import logged_attempts
from companion.journal.unsaved_attempts import retry_unsaved
from companion.practice.attempt import Outcome
from companion.tui.screens.drill_screen import DrillScreen
from companion.tui.screens.outcome_screen import OutcomeScreen
from tests.tui.drill_room import BAR, Room

if TYPE_CHECKING:
    from collections.abc import Callable

    from textual.pilot import Pilot


@pytest.fixture
def room(app_folders: Folders) -> Room:
    return Room(app_folders)


async def test_a_note_is_written_before_the_answer(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 5)
        await room.press(pilot, "enter", "n", "1", "s", "t", "enter", "4")
        (noted,) = logged_attempts(room.folders)
        assert (noted.outcome, noted.note) == (Outcome.SECURE, "1st")


async def test_escape_asks_before_practice_is_lost(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 5)
        await room.press(pilot, "escape")
        assert isinstance(room.app.screen, OutcomeScreen)
        await room.press(pilot, "2")
        assert room.screen not in room.app.screen_stack
        assert [attempt.outcome for attempt in logged_attempts(room.folders)] == [Outcome.SHAKY]
        assert room.player.state == "idle"


async def test_without_a_time_through_escape_just_leaves(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(1)
        await room.press(pilot, "escape")
        assert room.screen not in room.app.screen_stack
        assert logged_attempts(room.folders) == []


async def test_nothing_played_is_nothing_to_say(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "e")
        assert room.app.screen is room.screen
        assert room.said.startswith("Nothing to log yet")


async def test_where_the_log_cannot_be_written_practice_goes_on_and_says_so(
    tmp_path: Path,
) -> None:
    in_the_way = tmp_path / "a_file"
    in_the_way.write_text("not a folder")
    room = Room(Folders(in_the_way, tmp_path / "cache"))
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 5)
        await room.press(pilot, "e", "3")
        assert isinstance(room.app.screen, DrillScreen)
        assert "not saved yet and will be tried again" in room.said
        in_the_way.unlink()
        assert retry_unsaved(room.folders) is None


def test_the_question_as_a_picture(room: Room, snap_compare: Callable[..., bool]) -> None:
    async def look(pilot: Pilot[None]) -> None:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 9)
        await room.press(pilot, "e")

    assert snap_compare(room.app, terminal_size=(80, 24), run_before=look)

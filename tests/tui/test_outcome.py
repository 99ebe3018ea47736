"""How did it go: one key, and it is in the log."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from textual.widgets import Static

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


def listed(room: Room, name: str) -> str:
    return str(room.app.screen.query_one(f"#outcome-{name}", Static).content)


async def test_held_cannot_be_said_of_what_was_not_played_through(room: Room) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 3)
        await room.press(pilot, "e")
        assert "not played through, 0:05" in listed(room, "asked")
        assert "cannot have held. Say 1 or 2" in listed(room, "why")
        for key in "34":
            await room.press(pilot, key)
            assert isinstance(room.app.screen, OutcomeScreen)
            assert logged_attempts(room.folders) == []
        await room.press(pilot, "1")
        (noted,) = logged_attempts(room.folders)
        assert (noted.outcome, noted.repetitions) == (Outcome.FELL_APART, 0)


async def test_right_after_another_tempo_held_is_said_of_what_was_played_through(
    room: Room,
) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 8)
        await room.press(pilot, "up")
        room.after(1)
        await room.press(pilot, "e")
        assert "dotted quarter = 61" in listed(room, "asked")
        assert "3 and 4 are for what you played before: dotted quarter = 60" in listed(room, "why")
        await room.press(pilot, "3")
        (noted,) = logged_attempts(room.folders)
        assert noted.tempo == 60
        assert noted.repetitions == 2
        assert isinstance(room.app.screen, DrillScreen), "of a moment at 61 nobody asks"


async def test_every_tempo_and_click_is_asked_about_by_itself_the_latest_first(
    room: Room,
) -> None:
    async with room.app.run_test(size=(80, 24)) as pilot:
        await room.enter(pilot)
        await room.press(pilot, "space")
        room.after(BAR + 12)
        await room.press(pilot, "pagedown")
        room.after(16)
        await room.press(pilot, "d")
        room.after(16)
        assert "· 2 earlier" in room.told
        await room.press(pilot, "e")
        earlier = listed(room, "earlier").splitlines()
        assert earlier[0] == "Asked next:"
        assert ["= 55" in earlier[1], "= 60" in earlier[2]] == [True, True]
        await room.press(pilot, "4")
        assert "dotted quarter = 55, beat + mine + theirs" in listed(room, "asked")
        await room.press(pilot, "n", "a", "enter", "2", "escape")
        assert isinstance(room.app.screen, DrillScreen)
        newest, before = logged_attempts(room.folders)
        assert (newest.outcome, newest.note) == (Outcome.SECURE, "")
        assert "division" in newest.layers
        assert (before.outcome, before.note) == (Outcome.SHAKY, "a")
        assert "· 1 earlier" in room.told, "what was skipped is offered again"
        await room.press(pilot, "e")
        assert "dotted quarter = 60" in listed(room, "asked")


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
